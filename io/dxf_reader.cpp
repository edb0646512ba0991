#include "io/dxf_reader.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>

#include <fmt/format.h>

#include "io/dxf_items.hpp"
#include "io/units.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

constexpr double kFlatness = 0.01e-3;                 // of curves that become straight sides [m]
constexpr double kFarthest = 10.0;                    // of any coordinate [m]; no mould is larger
constexpr double kNoLength = 1e-9;                    // [m]
constexpr std::size_t kMostCorners = 1000000;         // of the whole drawing
constexpr std::size_t kMostInserts = 100000;          // carried out
constexpr std::size_t kDeepest = 16;                  // blocks inside blocks
constexpr std::uintmax_t kLargestFile = 256U << 20U;  // [byte]

char capital(char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; }

std::string capitals(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(), capital);
  return result;
}

// Carries out inserts and brings everything into metres.
class Expander {
 public:
  Expander(const DxfItems& items, const std::string& name) : items_(items), name_(name) {}

  DxfDrawing run(double unit_length) {
    expand(items_.top, {{unit_length, 0.0}, {0.0, unit_length}, {}}, "");
    if (without_length_ > 0) {
      result_.notes.push_back(fmt::format(
          "Left out {} without length, the first in line {} of the drawing.",
          without_length_ == 1 ? "1 line" : fmt::format("{} lines", without_length_), first_line_));
    }
    return std::move(result_);
  }

 private:
  // What an item is drawn with.
  struct Place {
    const Motion& motion;
    const std::string& layer;
    const DxfItem& item;
  };

  void expand(const std::vector<DxfItem>& items, const Motion& motion,
              const std::string& layer_of) {
    for (const DxfItem& item : items) {
      // Layer 0 of a block is the layer of its insert.
      const bool inherits = item.layer == "0" && !layer_of.empty();
      const std::string layer = inherits ? layer_of : item.layer;
      const Place place{motion, layer, item};
      std::visit([&](const auto& what) { draw(what, place); }, item.what);
    }
  }

  void draw(const DxfPath& path, const Place& at) {
    add_path(moved(path.corners, path.closed, at.motion, kFlatness), path.closed, at);
  }

  void draw(const EllipseArc& arc, const Place& at) {
    const EllipseArc there = moved(arc, at.motion);
    const double most = 2.0 * std::numbers::pi;
    const bool whole = arc.to - arc.from >= most * (1.0 - 1e-9);
    if (whole && Motion{there.u, there.v, {}}.keeps_shape()) {
      check(there.centre, at);
      const double diameter = 2.0 * norm(there.u);
      if (!(diameter > kNoLength && diameter <= kFarthest)) too_far(at);
      result_.drawing.circles.push_back({layer(at), {there.centre, diameter}, origin(at)});
      count(1, at);
      return;
    }
    add_points(flattened(there, kFlatness), whole, at);
  }

  void draw(const Spline& spline, const Place& at) {
    add_points(flattened(moved(spline, at.motion), kFlatness), false, at);
  }

  void draw(const DxfPoint& point, const Place& at) {
    const Point there = at.motion(point.at);
    check(there, at);
    result_.drawing.points.push_back({layer(at), there, origin(at)});
    count(1, at);
  }

  void draw(const DxfInsert& insert, const Place& at) {
    const auto it = items_.blocks.find(insert.block);
    if (it == items_.blocks.end())
      fail(at, fmt::format("there is no block \"{}\" to insert", insert.block));
    if (std::find(stack_.begin(), stack_.end(), insert.block) != stack_.end())
      fail(at, fmt::format("the block \"{}\" contains itself", insert.block));
    if (stack_.size() >= kDeepest) fail(at, "blocks are nested more than 16 deep");
    stack_.push_back(insert.block);
    for (int row = 0; row < insert.rows; ++row) {
      for (int column = 0; column < insert.columns; ++column) {
        if (++inserts_ > kMostInserts) fail(at, "more than 100000 copies of blocks are inserted");
        Motion motion = insert.motion;
        motion.origin = motion.origin + static_cast<double>(column) * insert.column_step +
                        static_cast<double>(row) * insert.row_step;
        const Motion from_base{{1.0, 0.0}, {0.0, 1.0}, -1.0 * it->second.base};
        const Motion all = at.motion * (motion * from_base);
        if (!(std::abs(all.determinant()) > 0.0)) fail(at, "a block is inserted with scale 0");
        expand(it->second.items, all, at.layer);
      }
    }
    stack_.pop_back();
  }

  void add_points(const std::vector<Point>& points, bool closed, const Place& at) {
    std::vector<Corner> corners(points.size());
    for (std::size_t i = 0; i < points.size(); ++i) corners[i].at = points[i];
    add_path(corners, closed, at);
  }

  void add_path(const std::vector<Corner>& corners, bool closed, const Place& at) {
    std::vector<Corner> kept;
    for (const Corner& corner : corners) {
      check(corner.at, at);
      if (!(std::abs(corner.bulge) <= 100.0)) fail(at, "a bulge is out of range");
      if (!kept.empty() && distance(kept.back().at, corner.at) <= kNoLength) kept.pop_back();
      kept.push_back(corner);
    }
    const bool comes_back =
        kept.size() > 1 && distance(kept.front().at, kept.back().at) <= kNoLength;
    if (comes_back) kept.pop_back();
    closed = closed || comes_back;
    if (kept.size() < 2) {
      if (without_length_++ == 0) first_line_ = at.item.line;
      return;
    }
    count(kept.size(), at);
    result_.drawing.paths.push_back({layer(at), std::move(kept), closed, origin(at)});
  }

  std::string layer(const Place& at) {
    for (const std::string& known : result_.layers) {
      if (same_layer(known, at.layer)) return known;
    }
    constexpr std::size_t kMostLayers = 1000;
    if (result_.layers.size() >= kMostLayers) fail(at, "more than 1000 layers");
    result_.layers.push_back(at.layer);
    return at.layer;
  }

  void count(std::size_t corners, const Place& at) {
    corners_ += corners;
    if (corners_ > kMostCorners)
      fail(at, fmt::format("the drawing has more than {} corners", kMostCorners));
  }
  void check(Point p, const Place& at) const {
    if (!(std::abs(p.x) <= kFarthest && std::abs(p.y) <= kFarthest)) too_far(at);
  }
  [[noreturn]] void too_far(const Place& at) const {
    fail(at, "a measure is beyond the largest allowed, 10 m; is the unit right?");
  }
  [[noreturn]] void fail(const Place& at, const std::string& what) const {
    throw DxfError(name_, at.item.line, what);
  }
  std::string origin(const Place& at) const { return fmt::format("{}:{}", name_, at.item.line); }

  const DxfItems& items_;
  const std::string& name_;
  DxfDrawing result_;
  std::vector<std::string> stack_;
  std::size_t inserts_ = 0;
  std::size_t corners_ = 0;
  int without_length_ = 0;
  int first_line_ = 0;
};

// Unit of a header's $INSUNITS; empty when it names none, or none of ours.
std::string unit_of_code(int code) {
  switch (code) {
    case 1:
      return "in";
    case 4:
      return "mm";
    case 5:
      return "cm";
    case 6:
      return "m";
    case 13:
      return "um";
    default:
      return "";
  }
}

std::string unit_for(const DxfText& text, const std::string& wanted, const std::string& name,
                     std::vector<std::string>& notes) {
  const std::string said = unit_of_code(text.unit_code);
  if (wanted.empty() && said.empty()) {
    throw DxfError(name, 0,
                   text.unit_code == 0
                       ? "the drawing does not say its unit ($INSUNITS); give geometry.unit"
                       : fmt::format("the drawing is in a unit of code {} ($INSUNITS), which is "
                                     "none of in, mm, cm, m, um; give geometry.unit",
                                     text.unit_code));
  }
  if (!wanted.empty() && !said.empty() && wanted != said) {
    notes.push_back(fmt::format(
        "The header of the drawing says {}, geometry.unit says {}; the latter is taken.", said,
        wanted));
  }
  return wanted.empty() ? said : wanted;
}

}  // namespace

bool same_layer(std::string_view a, std::string_view b) { return capitals(a) == capitals(b); }

DxfDrawing read_dxf_text(std::string_view text, const std::string& name, const std::string& unit) {
  const DxfText checked = dxf_text(text, name);
  std::vector<std::string> notes;
  const std::string taken = unit_for(checked, unit, name, notes);
  const DxfItems items = dxf_items(checked, name);
  DxfDrawing result = Expander(items, name).run(convert_quantity(1.0, taken, Dimension::length));
  result.unit = taken;
  if (result.layers.empty()) throw DxfError(name, 0, "nothing is drawn: no lines, arcs or circles");
  if (!checked.skipped.empty()) {
    std::string kinds;
    for (const auto& [kind, number] : checked.skipped)
      kinds += fmt::format("{}{} {}", kinds.empty() ? "" : ", ", number, kind);
    notes.push_back(fmt::format("Not read, because they draw no outline: {}.", kinds));
  }
  result.notes.insert(result.notes.begin(), notes.begin(), notes.end());
  return result;
}

DxfDrawing read_dxf(const fs::path& file, const std::string& unit) {
  const std::string name = file.filename().string();
  std::error_code error;
  const std::uintmax_t size = fs::file_size(file, error);
  if (error) throw DxfError(name, 0, "this file cannot be opened: " + error.message());
  if (size > kLargestFile) throw DxfError(name, 0, "the file is too large; allowed: 256 MB");
  std::ifstream in(file, std::ios::binary);
  const std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  if (!in) throw DxfError(name, 0, "this file cannot be read");
  return read_dxf_text(text, name, unit);
}

}  // namespace firstshot
