#include "io/window_picture.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>

#include <cairo.h>
#include <fmt/format.h>

#include "io/sheet_paper.hpp"

namespace firstshot {
namespace {

constexpr std::array<std::uint32_t, shot_classes.size()> class_colours = {
    0xdff6e2, 0xe6ca91, 0x86b3db, 0xcd725c, 0x985593, 0x7a3336, 0x9e9e9e};

Rgb ink_of(ShotClass kind) {
  const std::uint32_t colour = class_colours[static_cast<std::size_t>(kind)];
  constexpr double most = 255.0;
  return {((colour >> 16U) & 255U) / most, ((colour >> 8U) & 255U) / most, (colour & 255U) / most};
}

// The map on the sheet [pt].
constexpr double left = sheet_margin + 62.0, right = sheet_width - sheet_margin - 150.0;
constexpr double top = sheet_margin + 50.0, bottom = sheet_height - sheet_margin - 52.0;

Point placed(const Point& at) {
  return {left + at.x * (right - left), bottom - at.y * (bottom - top)};
}

void line(cairo_t* c, const Point& a, const Point& b) {
  cairo_move_to(c, a.x, a.y);
  cairo_line_to(c, b.x, b.y);
  cairo_stroke(c);
}

/// Outside of the good area each place looks like the nearest bad shot.
void draw_bad(cairo_t* c, const std::vector<Point>& places, const WindowRecord& record) {
  constexpr int raster = 160;
  cairo_set_antialias(c, CAIRO_ANTIALIAS_NONE);
  const double w = (right - left) / raster, h = (bottom - top) / raster;
  for (int j = 0; j < raster; ++j)
    for (int i = 0; i < raster; ++i) {
      const Point at{(i + 0.5) / raster, (j + 0.5) / raster};
      double nearest = 1e9;
      ShotClass kind = ShotClass::fills;
      for (std::size_t k = 0; k < places.size(); ++k) {
        const ShotClass here = record.runs[k].judged.shot.kind;
        const double distance = std::hypot(at.x - places[k].x, at.y - places[k].y);
        if (here == ShotClass::fills || distance >= nearest) continue;
        nearest = distance;
        kind = here;
      }
      use_ink(c, ink_of(kind));
      cairo_rectangle(c, left + i * w, bottom - (j + 1) * h, w + 0.5, h + 0.5);
      cairo_fill(c);
    }
  cairo_set_antialias(c, CAIRO_ANTIALIAS_DEFAULT);
}

void draw_good(cairo_t* c, const WindowMap& map) {
  use_ink(c, ink_of(ShotClass::fills));
  for (const auto& area : map.areas) {
    for (std::size_t i = 0; i < area.size(); ++i) {
      const Point p = placed(area[i]);
      i == 0 ? cairo_move_to(c, p.x, p.y) : cairo_line_to(c, p.x, p.y);
    }
    cairo_close_path(c);
    cairo_fill_preserve(c);
    cairo_set_line_width(c, 0.6);  // no seams between neighbours
    cairo_stroke(c);
  }
  use_ink(c, sheet_ink);
  cairo_set_line_width(c, 1.6);
  cairo_set_line_cap(c, CAIRO_LINE_CAP_ROUND);
  for (const OutlineSegment& s : map.outline) line(c, placed(s.a), placed(s.b));
}

/// A disc for a good shot, a cross for another one.
void draw_runs(cairo_t* c, const std::vector<Point>& places, const WindowRecord& record) {
  constexpr double size = 2.2;
  cairo_set_line_width(c, 0.9);
  use_ink(c, sheet_ink);
  for (std::size_t k = 0; k < places.size(); ++k) {
    const Point p = placed(places[k]);
    if (record.runs[k].judged.shot.good()) {
      cairo_new_path(c);
      cairo_arc(c, p.x, p.y, size, 0.0, 2 * std::numbers::pi);
      cairo_stroke(c);
    } else {
      line(c, {p.x - size, p.y - size}, {p.x + size, p.y + size});
      line(c, {p.x - size, p.y + size}, {p.x + size, p.y - size});
    }
  }
}

void draw_best(cairo_t* c, const WindowRecord& record) {
  if (!record.best) return;
  const auto share = [&](std::size_t axis) {
    return record.axes[axis].share(record.best->run.values[axis]);
  };
  const Point best{share(0), share(1)}, at = placed(best);
  use_ink(c, sheet_ink);
  cairo_set_line_width(c, 1.1);
  for (const WindowSide& side : record.best->sides) {
    Point end = best;
    (side.axis == 0 ? end.x : end.y) += side.upwards ? side.share : -side.share;
    line(c, at, placed(end));
  }
  constexpr double size = 5.5;
  cairo_new_path(c);
  cairo_arc(c, at.x, at.y, size, 0.0, 2 * std::numbers::pi);
  use_ink(c, sheet_paper);
  cairo_fill_preserve(c);
  use_ink(c, sheet_ink);
  cairo_set_line_width(c, 2.2);
  cairo_stroke(c);
}

std::string axis_title(const WindowAxis& axis) {
  const std::string words = axis_words(axis.key());
  return axis.unit().empty() ? words : fmt::format("{} [{}]", words, axis.unit());
}

void draw_axes(cairo_t* c, const WindowRecord& record) {
  const Letters small{9.0, sheet_soft_ink, false, true}, large{10.5, sheet_ink, false, true};
  use_ink(c, sheet_ink);
  cairo_set_line_width(c, 0.8);
  cairo_rectangle(c, left, top, right - left, bottom - top);
  cairo_stroke(c);
  for (const double tick : record.axes[0].ticks()) {
    const double x = placed({record.axes[0].share_of(tick), 0.0}).x;
    line(c, {x, bottom}, {x, bottom + 4.0});
    write_letters(c, short_number(tick), {x, bottom + 15.0}, small);
  }
  for (const double tick : record.axes[1].ticks()) {
    const double y = placed({0.0, record.axes[1].share_of(tick)}).y;
    use_ink(c, sheet_ink);
    line(c, {left - 4.0, y}, {left, y});
    write_letters(c, short_number(tick), {left - 22.0, y + 3.0}, small);
  }
  write_letters(c, axis_title(record.axes[0]), {(left + right) / 2, bottom + 32.0}, large);
  cairo_save(c);
  cairo_translate(c, left - 46.0, (top + bottom) / 2);
  cairo_rotate(c, -std::numbers::pi / 2);
  write_letters(c, axis_title(record.axes[1]), {0.0, 0.0}, large);
  cairo_restore(c);
}

void draw_legend(cairo_t* c, const WindowRecord& record) {
  double y = top + 6.0;
  const double x = right + 22.0;
  for (const ShotClass kind : shot_classes) {
    const std::size_t count = record.count(kind);
    if (count == 0) continue;
    use_ink(c, ink_of(kind));
    cairo_rectangle(c, x, y - 9.0, 13.0, 11.0);
    cairo_fill_preserve(c);
    use_ink(c, sheet_ink);
    cairo_set_line_width(c, 0.5);
    cairo_stroke(c);
    write_letters(c, fmt::format("{} ({})", shot_class_words(kind), count), {x + 20.0, y},
                  {10.0, sheet_ink});
    y += 18.0;
  }
  write_letters(c, "circle: run that fills; cross: not", {x, y + 8.0}, {8.0});
  if (record.best) write_letters(c, "heavy ring: best setting", {x, y + 20.0}, {8.0});
}

std::string best_line(const WindowRecord& record) {
  if (!record.best) return "no setting in this range gives a good shot";
  return fmt::format("best: {}, {}", record.best->run.values[0], record.best->run.values[1]);
}

}  // namespace

std::string shot_class_colour(ShotClass kind) {
  return fmt::format("#{:06x}", class_colours[static_cast<std::size_t>(kind)]);
}

void write_window_picture(const WindowRecord& record, const std::filesystem::path& stem) {
  std::vector<Point> places;
  places.reserve(record.runs.size());
  for (const WindowRun& run : record.runs)
    places.push_back({record.axes[0].share(run.values[0]), record.axes[1].share(run.values[1])});
  save_sheet(stem, [&](cairo_t* c) {
    use_ink(c, sheet_paper);
    cairo_paint(c);
    draw_bad(c, places, record);
    draw_good(c, record.map);
    draw_runs(c, places, record);
    draw_best(c, record);
    draw_axes(c, record);
    draw_legend(c, record);
    write_letters(c, record.title.empty() ? "Process window" : record.title,
                  {sheet_margin, sheet_margin + 16.0}, {19.0, sheet_ink, true});
    write_letters(c, "process window; " + best_line(record), {sheet_margin, sheet_margin + 34.0},
                  {10.5});
    write_letters(c, "Estimates, no release of a mould: settings are for a qualified setter.",
                  {sheet_margin, sheet_height - sheet_margin + 12.0}, {8.0});
  });
}

}  // namespace firstshot
