#include "io/picture_sheet.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>

#include <cairo.h>
#include <fmt/format.h>

#include "io/colour_scales.hpp"
#include "io/sheet_paper.hpp"

namespace firstshot {
namespace {

using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using Context = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

constexpr double margin = sheet_margin;
constexpr double head = 52.0, foot = 62.0;  // above and below the picture [pt]
constexpr double image_scale = 300.0 / 72;  // of the colours on the PDF
constexpr double decades_shown = 4.0;
constexpr Rgb paper = sheet_paper, ink = sheet_ink, soft = sheet_soft_ink;
constexpr Rgb no_value{0.905, 0.890, 0.860}, weld{0.64, 0.07, 0.25}, meld{0.35, 0.24, 0.54};
constexpr Rgb scorch{0.76, 0.25, 0.05};

/// Where the frame lies on the sheet: point = shift + scale * metre, y upwards in the frame.
struct Placing {
  double scale = 1.0, x = 0.0, y = 0.0;
  Point operator()(const Point& p) const { return {x + scale * p.x, y - scale * p.y}; }
};

Placing placed(const DrawnFrame& frame) {
  Point low{1e9, 1e9}, high{-1e9, -1e9};
  for (const auto& triangle : frame.triangles)
    for (const auto& corner : triangle) {
      low = {std::min(low.x, corner.at.x), std::min(low.y, corner.at.y)};
      high = {std::max(high.x, corner.at.x), std::max(high.y, corner.at.y)};
    }
  const double w = sheet_width - 2 * margin, h = sheet_height - 2 * margin - head - foot;
  Placing out;
  out.scale = std::min(w / std::max(high.x - low.x, 1e-6), h / std::max(high.y - low.y, 1e-6));
  out.x = margin + w / 2 - out.scale * (low.x + high.x) / 2;
  out.y = margin + head + h / 2 + out.scale * (low.y + high.y) / 2;
  return out;
}

/// Values ↔ place on the scale of colours.
struct Range {
  double low = 0.0, high = 1.0;
  bool logarithmic = false;
  double share(double value) const {
    if (!logarithmic) return (value - low) / (high - low);
    return value > 0 ? std::log(value / low) / std::log(high / low) : 0.0;
  }
};

Range range_of(const DrawnField& field) {
  Range out{1e300, -1e300, field.shown.logarithmic};
  for (const auto* values : {&field.per_node, &field.per_triangle})
    for (const double v : *values)
      if (std::isfinite(v)) {
        out.low = std::min(out.low, v);
        out.high = std::max(out.high, v);
      }
  if (out.low > out.high) return {0.0, 1.0, false};
  if (out.logarithmic) {
    if (out.high <= 0.0) return {0.0, 1.0, false};
    out.low = out.high * std::pow(10.0, -decades_shown);
  } else if (out.low > 0.0 && out.low < 0.4 * out.high) {
    out.low = 0.0;
  }
  if (!(out.high > out.low)) out.high = out.low + 1.0;
  return out;
}

/// Values at the corners of a triangle.
std::array<double, 3> corner_values(const DrawnFrame& frame, const DrawnField& field,
                                    std::size_t t) {
  if (!field.per_triangle.empty()) {
    const double v = t < field.per_triangle.size() ? field.per_triangle[t]
                                                   : std::numeric_limits<double>::quiet_NaN();
    return {v, v, v};
  }
  std::array<double, 3> out{};
  for (std::size_t k = 0; k < 3; ++k) out[k] = field.per_node[frame.triangles[t][k].node];
  return out;
}

/// All triangles in their colours, as one pattern: no seams between neighbours.
void draw_colours(cairo_t* c, const DrawnFrame& frame, const DrawnField& field, const Range& range,
                  const Placing& place) {
  const ColourScale& scale = colour_scale(field.shown.colours);
  cairo_pattern_t* pattern = cairo_pattern_create_mesh();
  for (std::size_t t = 0; t < frame.triangles.size(); ++t) {
    const std::array<double, 3> values = corner_values(frame, field, t);
    cairo_mesh_pattern_begin_patch(pattern);
    for (unsigned int k = 0; k < 3; ++k) {
      const Point p = place(frame.triangles[t][k].at);
      if (k == 0)
        cairo_mesh_pattern_move_to(pattern, p.x, p.y);
      else
        cairo_mesh_pattern_line_to(pattern, p.x, p.y);
    }
    for (unsigned int k = 0; k < 3; ++k) {
      const Rgb rgb =
          std::isfinite(values[k]) ? colour_at(scale, range.share(values[k])) : no_value;
      cairo_mesh_pattern_set_corner_color_rgb(pattern, k, rgb[0], rgb[1], rgb[2]);
    }
    cairo_mesh_pattern_end_patch(pattern);
  }
  cairo_set_source(c, pattern);
  cairo_paint(c);
  cairo_pattern_destroy(pattern);
}

/// The piece of a line of equal value within a triangle.
void add_level(cairo_t* c, const std::array<Point, 3>& at, const std::array<double, 3>& v,
               double level) {
  int found = 0;
  for (std::size_t k = 0; k < 3; ++k) {
    const std::size_t n = (k + 1) % 3;
    if ((v[k] < level) == (v[n] < level)) continue;
    const double s = (level - v[k]) / (v[n] - v[k]);
    const double x = at[k].x + s * (at[n].x - at[k].x), y = at[k].y + s * (at[n].y - at[k].y);
    if (found++ == 0)
      cairo_move_to(c, x, y);
    else
      cairo_line_to(c, x, y);
  }
}

void draw_levels(cairo_t* c, const DrawnFrame& frame, const DrawnField& field,
                 const Placing& place) {
  if (field.line_every <= 0.0 || field.per_node.empty()) return;
  for (std::size_t t = 0; t < frame.triangles.size(); ++t) {
    const std::array<double, 3> v = corner_values(frame, field, t);
    if (!std::all_of(v.begin(), v.end(), [](double value) { return std::isfinite(value); }))
      continue;
    std::array<Point, 3> at;
    for (std::size_t k = 0; k < 3; ++k) at[k] = place(frame.triangles[t][k].at);
    const auto [low, high] = std::minmax_element(v.begin(), v.end());
    for (double n = std::ceil(*low / field.line_every); n * field.line_every < *high; ++n)
      add_level(c, at, v, n * field.line_every);
  }
  use_ink(c, ink);
  cairo_set_line_width(c, 0.55);
  cairo_stroke(c);
}

void draw_outlines(cairo_t* c, const DrawnFrame& frame, const Placing& place) {
  for (const auto& side : frame.outlines) {
    const Point a = place(side[0]), b = place(side[1]);
    cairo_move_to(c, a.x, a.y);
    cairo_line_to(c, b.x, b.y);
  }
  use_ink(c, ink);
  cairo_set_line_width(c, 0.6);
  cairo_set_line_cap(c, CAIRO_LINE_CAP_ROUND);
  cairo_stroke(c);
}

void draw_lines(cairo_t* c, const std::vector<PictureLine>& lines, const Placing& place) {
  constexpr std::array<double, 2> dashes{4.0, 3.0};
  for (const PictureLine& line : lines)
    for (const bool casing : {true, false}) {
      for (std::size_t i = 0; i < line.points.size(); ++i) {
        const Point p = place(line.points[i]);
        if (i == 0)
          cairo_move_to(c, p.x, p.y);
        else
          cairo_line_to(c, p.x, p.y);
      }
      use_ink(c, casing ? paper : line.meld ? meld : weld);
      cairo_set_line_width(c, casing ? 3.6 : 1.8);
      cairo_set_dash(c, dashes.data(), line.meld && !casing ? 2 : 0, 0.0);
      cairo_stroke(c);
    }
  cairo_set_dash(c, dashes.data(), 0, 0.0);
}

void draw_marks(cairo_t* c, const std::vector<PictureMark>& marks, const Placing& place) {
  constexpr double r = 3.6;
  for (const PictureMark& mark : marks) {
    const Point p = place(mark.at);
    cairo_new_path(c);
    if (mark.kind == PictureMark::Kind::scorch) {
      cairo_move_to(c, p.x, p.y - 1.4 * r);
      cairo_line_to(c, p.x + 1.25 * r, p.y + 0.9 * r);
      cairo_line_to(c, p.x - 1.25 * r, p.y + 0.9 * r);
      cairo_close_path(c);
    } else {
      cairo_arc(c, p.x, p.y, r, 0.0, 2 * std::numbers::pi);
    }
    const bool out = mark.kind == PictureMark::Kind::got_out;
    use_ink(c, mark.kind == PictureMark::Kind::scorch ? scorch : out ? paper : ink);
    cairo_fill_preserve(c);
    use_ink(c, out ? ink : paper);
    cairo_set_line_width(c, 1.3);
    cairo_stroke(c);
  }
}

/// Round numbers within a range, about five.
std::vector<double> ticks_of(const Range& range) {
  std::vector<double> out;
  if (range.logarithmic) {
    for (double e = std::ceil(std::log10(range.low)); std::pow(10.0, e) <= range.high; ++e)
      out.push_back(std::pow(10.0, e));
    return out;
  }
  const double rough = (range.high - range.low) / 5.0,
               power = std::pow(10.0, std::floor(std::log10(rough)));
  double step = 10.0 * power;
  for (const double f : {5.0, 2.0, 1.0})
    if (f * power >= rough * 0.999) step = f * power;
  for (double n = std::ceil(range.low / step - 1e-9); n * step <= range.high * (1 + 1e-9); ++n)
    out.push_back(n * step);
  return out;
}

void draw_bar(cairo_t* c, const DrawnField& field, const Range& range) {
  const double left = margin + 210.0, width = sheet_width - margin - left,
               top = sheet_height - margin - 34.0;
  const ColourScale& scale = colour_scale(field.shown.colours);
  constexpr int cells = 160;
  for (int i = 0; i < cells; ++i) {
    use_ink(c, colour_at(scale, (i + 0.5) / cells));
    cairo_rectangle(c, left + width * i / cells, top, width / cells + 0.5, 10.0);
    cairo_fill(c);
  }
  const std::string unit = field.shown.unit.empty() ? "" : " [" + field.shown.unit + "]";
  write_letters(c, field.shown.label + unit, {margin, top + 9.0}, {10.0, ink});
  for (const double tick : ticks_of(range)) {
    const double x = left + width * range.share(tick);
    use_ink(c, soft);
    cairo_set_line_width(c, 0.6);
    cairo_move_to(c, x, top + 10.0);
    cairo_line_to(c, x, top + 13.0);
    cairo_stroke(c);
    write_letters(c, fmt::format("{:.6g}", std::abs(tick) < 1e-12 ? 0.0 : tick), {x, top + 22.0},
                  {8.5, soft, false, true});
  }
}

/// The colours alone, larger by image_scale.
Surface colour_image(const DrawnFrame& frame, const DrawnField& field, const Range& range,
                     const Placing& place) {
  Surface image(
      cairo_image_surface_create(CAIRO_FORMAT_ARGB32, static_cast<int>(sheet_width * image_scale),
                                 static_cast<int>(sheet_height * image_scale)),
      cairo_surface_destroy);
  const Context onto(cairo_create(image.get()), cairo_destroy);
  cairo_scale(onto.get(), image_scale, image_scale);
  draw_colours(onto.get(), frame, field, range, place);
  return image;
}

/// One sheet, ready to be drawn onto anything.
struct Sheet {
  const DrawnFrame& frame;
  const DrawnField& field;
  const SheetText& text;
  Placing place = placed(frame);
  Range range = range_of(field);
  Surface colours = colour_image(frame, field, range, place);

  void draw(cairo_t* c) const {
    use_ink(c, paper);
    cairo_paint(c);
    cairo_save(c);
    cairo_scale(c, 1.0 / image_scale, 1.0 / image_scale);
    cairo_set_source_surface(c, colours.get(), 0.0, 0.0);
    cairo_paint(c);
    cairo_restore(c);
    draw_levels(c, frame, field, place);
    draw_outlines(c, frame, place);
    draw_lines(c, field.lines, place);
    draw_marks(c, field.marks, place);
    write_letters(c, text.title, {margin, margin + 16.0}, {19.0, ink, true});
    write_letters(c, text.subtitle, {margin, margin + 34.0}, {10.5});
    draw_bar(c, field, range);
    write_letters(c, text.footer, {margin, sheet_height - margin + 12.0}, {8.0});
  }
};

}  // namespace

void write_sheet(const std::filesystem::path& stem, const DrawnFrame& frame,
                 const DrawnField& field, const SheetText& text) {
  const Sheet sheet{frame, field, text};
  save_sheet(stem, [&](cairo_t* c) { sheet.draw(c); });
}

}  // namespace firstshot
