#include "analysis/commands/program.hpp"

#include <CLI/CLI.hpp>
#include <array>
#include <memory>
#include <new>

#include "analysis/commands/verbs.hpp"
#include "analysis/report/numbers.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

constexpr std::array kVerbs = {
    Verb{"measure", "Measure a session folder, or a campaign of them: recording and log to result",
         add_measure},
    Verb{"extract", "Find every press and light in a recording, with their uncertainty",
         add_extract},
    Verb{"review", "Look at the frames in a window, and mark presses and lights by hand",
         add_review},
    Verb{"split", "Split each press into its portions, from timings and session log", add_split},
    Verb{"compare", "Say whether set-ups differ, and by how much; or table a campaign",
         add_compare},
    Verb{"label", "Show or edit the labels of a session", add_label},
    Verb{"report", "Write the report of a session, or of several compared, as one page",
         add_report},
    Verb{"plan", "Say how many presses a wanted certainty takes", add_plan},
    Verb{"rehearse", "Make a session folder with a simulated recording whose truth is known",
         add_rehearse},
    Verb{"demo", "Rehearse and measure the sessions of a made-up arcade, and compare them",
         add_demo},
};

void add_verbs(CLI::App& app, Action& chosen) {
  for (const Verb& verb : kVerbs) {
    CLI::App* sub = app.add_subcommand(verb.name, verb.line);
    const Action action = verb.add_options(*sub);
    sub->callback([&chosen, action] { chosen = action; });
  }
}

/// Help and version end well; anything else that the parser throws is wrong usage.
int finish_parsing(const CLI::App& app, const CLI::ParseError& outcome, const Streams& streams) {
  return app.exit(outcome, streams.out, streams.err) == 0 ? kExitGood : kExitUsage;
}

void require_verb(const Action& chosen) {
  if (chosen) {
    return;
  }
  std::string names;
  for (const Verb& verb : kVerbs) {
    names += std::string(names.empty() ? "" : ", ") + verb.name;
  }
  throw UsageError("say what to do: one of " + names + "; see --help");
}

int fail(std::ostream& err, const char* what, Exit code) {
  err << "thumblight-analysis: " << report::printable(what) << '\n';
  return code;
}

}  // namespace

int run(int argc, const char* const* argv, const Streams& streams) {
  CLI::App app(
      "Reads recordings of presses and lights, and says how long each part of the way took.",
      "thumblight-analysis");
  app.set_version_flag("--version", "thumblight-analysis " THUMBLIGHT_VERSION);
  bool quiet = false;
  app.add_flag("--quiet", quiet,
               "Print errors and what was asked for with '--out -', nothing else");
  app.require_subcommand(0, 1);
  app.fallthrough();
  Action action;
  add_verbs(app, action);
  try {
    app.parse(argc, argv);
    require_verb(action);
    action({streams.out, streams.err, quiet, streams.progress && !quiet, streams.columns,
            streams.colour, streams.ascii});
    return kExitGood;
  } catch (const CLI::ParseError& outcome) {
    return finish_parsing(app, outcome, streams);
  } catch (const UsageError& error) {
    return fail(streams.err, error.what(), kExitUsage);
  } catch (const std::bad_alloc&) {
    return fail(streams.err, "out of memory; close other programs, or split the recording",
                kExitFailed);
  } catch (const std::exception& error) {
    return fail(streams.err, error.what(), kExitFailed);
  }
}

}  // namespace thumblight::commands
