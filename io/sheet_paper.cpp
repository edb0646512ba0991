#include "io/sheet_paper.hpp"

#include <memory>

#include <cairo-pdf.h>
#include <cairo.h>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using Context = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

constexpr double png_scale = 2.4;  // pixels per point

void check(cairo_status_t status, const std::filesystem::path& file) {
  if (status != CAIRO_STATUS_SUCCESS)
    throw Error("cannot write \"" + file.string() + "\": " + cairo_status_to_string(status));
}

}  // namespace

void use_ink(cairo_t* c, const Rgb& colour) {
  cairo_set_source_rgb(c, colour[0], colour[1], colour[2]);
}

void write_letters(cairo_t* c, const std::string& text, const Point& at, const Letters& letters) {
  cairo_select_font_face(c, letters.serif ? "serif" : "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                         CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(c, letters.size);
  cairo_text_extents_t extents;
  cairo_text_extents(c, text.c_str(), &extents);
  use_ink(c, letters.colour);
  cairo_move_to(c, at.x - (letters.centred ? 0.5 * extents.x_advance : 0.0), at.y);
  cairo_show_text(c, text.c_str());
}

void save_sheet(const std::filesystem::path& stem, const std::function<void(cairo_t*)>& draw) {
  const std::filesystem::path png = stem.string() + ".png", pdf = stem.string() + ".pdf";
  {
    const Surface surface(
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(sheet_width * png_scale),
                                   static_cast<int>(sheet_height * png_scale)),
        cairo_surface_destroy);
    const Context c(cairo_create(surface.get()), cairo_destroy);
    cairo_scale(c.get(), png_scale, png_scale);
    draw(c.get());
    check(cairo_surface_write_to_png(surface.get(), png.c_str()), png);
  }
  const Surface surface(cairo_pdf_surface_create(pdf.c_str(), sheet_width, sheet_height),
                        cairo_surface_destroy);
  check(cairo_surface_status(surface.get()), pdf);
  const Context c(cairo_create(surface.get()), cairo_destroy);
  draw(c.get());
  cairo_show_page(c.get());
  cairo_surface_finish(surface.get());
  check(cairo_surface_status(surface.get()), pdf);
}

}  // namespace firstshot
