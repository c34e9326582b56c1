#include "analysis/report/chart/png.hpp"

#include <cairo.h>
#include <librsvg/rsvg.h>

#include <memory>

#include "analysis/report/chart/chart_text.hpp"
#include "harness/session/error.hpp"

namespace thumblight::report::chart {
namespace {

using Handle = std::unique_ptr<RsvgHandle, decltype(&g_object_unref)>;
using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using Context = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

/// Takes over the error and says what it says.
[[noreturn]] void fail(GError* error) {
  const std::string why = clean(error != nullptr ? error->message : "no reason given");
  g_clear_error(&error);
  throw Error("the chart cannot be drawn as PNG: " + why + "; write it as .svg instead");
}

cairo_status_t append(void* text, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(text)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

std::string encoded(cairo_surface_t* surface) {
  std::string png;
  const cairo_status_t status = cairo_surface_write_to_png_stream(surface, append, &png);
  if (status != CAIRO_STATUS_SUCCESS) {
    throw Error(std::string("the chart cannot be written as PNG: ") +
                cairo_status_to_string(status) + "; write it as .svg instead");
  }
  return png;
}

}  // namespace

std::string png_of(const std::string& svg) {
  GError* error = nullptr;
  const Handle handle(
      rsvg_handle_new_from_data(reinterpret_cast<const guint8*>(svg.data()), svg.size(), &error),
      &g_object_unref);
  if (!handle) {
    fail(error);
  }
  double width = 0;
  double height = 0;
  if (rsvg_handle_get_intrinsic_size_in_pixels(handle.get(), &width, &height) == FALSE) {
    throw Error("the chart states no size in pixels");
  }
  const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(width),
                                                   static_cast<int>(height)),
                        &cairo_surface_destroy);
  const Context context(cairo_create(surface.get()), &cairo_destroy);
  const RsvgRectangle whole{0, 0, width, height};
  if (rsvg_handle_render_document(handle.get(), context.get(), &whole, &error) == FALSE) {
    fail(error);
  }
  return encoded(surface.get());
}

}  // namespace thumblight::report::chart
