# Fetches the chart library by npm, as package-lock.json pins it, and puts together what the page holds: library.js,
# page.js, page.css, and hashes.hpp with the SHA-256 of the scripts, which the page's policy names.
# Called with -DNPM, -DSOURCE (this folder) and -DBINARY (where all of it goes).

file(MAKE_DIRECTORY "${BINARY}")
file(COPY "${SOURCE}/package.json" "${SOURCE}/package-lock.json" DESTINATION "${BINARY}")
execute_process(
  COMMAND "${NPM}" ci --ignore-scripts --no-audit --no-fund --loglevel=error
  WORKING_DIRECTORY "${BINARY}"
  RESULT_VARIABLE failed
  OUTPUT_QUIET
  ERROR_VARIABLE why)
if(failed)
  message(FATAL_ERROR "npm could not fetch the chart library for report.html; check the network and build again. "
                      "It said: ${why}")
endif()

function(append_parts file)
  file(WRITE "${file}" "")
  foreach(part IN LISTS ARGN)
    file(READ "${part}" text)
    string(REGEX REPLACE "\n//# sourceMappingURL=[^\n]*" "" text "${text}")
    if(text MATCHES "</script|<!--|</style")
      message(FATAL_ERROR "${part}: holds text that would end its element of the page; mend it")
    endif()
    file(APPEND "${file}" "${text}\n")
  endforeach()
endfunction()

# The licences of what is inside ask that their notices go along.
set(modules "${BINARY}/node_modules")
set(notices "")
foreach(package vega vega-lite vega-embed d3-scale)
  file(READ "${modules}/${package}/LICENSE" licence)
  string(APPEND notices "/*! ${package}\n${licence}*/\n")
endforeach()
file(WRITE "${BINARY}/notices.js" "${notices}")

append_parts("${BINARY}/library.js" "${BINARY}/notices.js" "${modules}/vega/build/vega.min.js"
             "${modules}/vega-lite/build/vega-lite.min.js" "${modules}/vega-embed/build/vega-embed.min.js")
append_parts("${BINARY}/page.js" "${SOURCE}/elements.js" "${SOURCE}/theme.js" "${SOURCE}/charts.js"
             "${SOURCE}/chart_box.js" "${SOURCE}/frames.js" "${SOURCE}/tables.js" "${SOURCE}/page.js")
append_parts("${BINARY}/page.css" "${SOURCE}/page.css")

file(SHA256 "${BINARY}/library.js" library)
file(SHA256 "${BINARY}/page.js" page)
file(WRITE "${BINARY}/hashes.hpp"
     "#pragma once\n\n/// SHA-256 of the page's scripts, in hexadecimal digits.\nnamespace thumblight::report {\n\n"
     "inline constexpr char kLibrarySha256[] = \"${library}\";\n"
     "inline constexpr char kScriptSha256[] = \"${page}\";\n\n}  // namespace thumblight::report\n")
