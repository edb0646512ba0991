#include "io/dxf_items.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <sstream>
#include <utility>

#include <dxflib/dl_creationadapter.h>
#include <dxflib/dl_dxf.h>
#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDegree = kPi / 180.0;

// Entities as text again, with counts that are true, for the library. The handle of each entity
// (code 5, in base 16) is its line in the file: that is how the line comes back.
struct CleanText {
  std::string text;
  void add(int code, std::string_view value) { text += fmt::format("{}\n{}\n", code, value); }
};

std::string count_of(const DxfEntity& entity, int code) {
  return std::to_string(std::count_if(entity.pairs.begin(), entity.pairs.end(),
                                      [code](const DxfPair& p) { return p.code == code; }));
}

void add_entity(CleanText& out, const DxfEntity& entity) {
  // Numbers of vertices, knots, control and fit points come first.
  std::vector<std::pair<int, int>> counts;
  if (entity.kind == "LWPOLYLINE") counts = {{90, 10}};
  if (entity.kind == "SPLINE") counts = {{72, 40}, {73, 10}, {74, 11}};
  const auto is_count = [&](int code) {
    return std::any_of(counts.begin(), counts.end(), [code](auto c) { return c.first == code; });
  };
  const auto is_list = [&](int code) { return !counts.empty() && code >= 10 && code <= 49; };
  out.add(0, entity.kind);
  out.add(5, fmt::format("{:X}", entity.line));
  for (const DxfPair& p : entity.pairs) {
    if (!is_list(p.code) && !is_count(p.code)) out.add(p.code, p.value);
  }
  for (const auto& [code, counted] : counts) out.add(code, count_of(entity, counted));
  for (const DxfPair& p : entity.pairs) {
    if (is_list(p.code) && p.code != 38) out.add(p.code, p.value);
  }
}

CleanText clean_text(const DxfText& text) {
  CleanText out;
  for (const DxfEntity& entity : text.blocks) add_entity(out, entity);
  for (const DxfEntity& entity : text.entities) add_entity(out, entity);
  out.add(0, "EOF");
  return out;
}

double bulge_of(double sweep) { return std::tan(sweep / 4.0); }

// Takes what the library finds.
class Collector : public DL_CreationAdapter {
 public:
  explicit Collector(const std::string& name) : name_(name) {}

  DxfItems take() {
    finish();
    return std::move(items_);
  }

  void addBlock(const DL_BlockData& b) override {
    finish();
    block_ = &items_.blocks[b.name];
    *block_ = {{b.bpx, b.bpy}, {}};
  }
  void endBlock() override {
    finish();
    block_ = nullptr;
  }
  void addPoint(const DL_PointData& p) override { add(DxfPoint{{p.x, p.y}}); }
  void addLine(const DL_LineData& l) override {
    add(DxfPath{{{{l.x1, l.y1}, 0.0}, {{l.x2, l.y2}, 0.0}}, false});
  }

  void addArc(const DL_ArcData& a) override {
    const Motion to_world = plane();
    check_radius(a.radius);
    double sweep = std::fmod(a.angle2 - a.angle1, 360.0);
    if (sweep <= 0.0) sweep += 360.0;
    // In two halves, so that no bulge grows beyond 1.
    const auto corner = [&](double share) {
      const double angle = (a.angle1 + share * sweep) * kDegree;
      const Point arm{std::cos(angle), std::sin(angle)};
      return Corner{Point{a.cx, a.cy} + a.radius * arm, bulge_of(0.5 * sweep * kDegree)};
    };
    DxfPath path{{corner(0.0), corner(0.5), corner(1.0)}, false};
    if (sweep == 360.0) path = {{corner(0.0), corner(0.5)}, true};
    add(DxfPath{moved(path.corners, path.closed, to_world, 0.0), path.closed});
  }

  void addCircle(const DL_CircleData& c) override {
    const Motion to_world = plane();
    check_radius(c.radius);
    add(moved(EllipseArc{{c.cx, c.cy}, {c.radius, 0.0}, {0.0, c.radius}}, to_world));
  }

  void addEllipse(const DL_EllipseData& e) override {
    const double side = plane().u.x;  // -1 when seen from below
    EllipseArc arc;
    arc.centre = {e.cx, e.cy};
    arc.u = {e.mx, e.my};
    arc.v = side * e.ratio * turned_left(arc.u);
    check_radius(std::min(norm(arc.u), norm(arc.v)));
    double sweep = std::fmod(e.angle2 - e.angle1, 2.0 * kPi);
    constexpr double kRounding = 1e-9;
    if (sweep <= kRounding) sweep += 2.0 * kPi;
    arc.from = e.angle1;
    arc.to = e.angle1 + sweep;
    add(arc);
  }

  void addPolyline(const DL_PolylineData& p) override {
    constexpr int kClosed = 1;
    constexpr int kMesh = 16 | 64;  // nets of faces
    finish();
    if ((p.flags & kMesh) != 0) fail("a net of faces is no outline; draw lines");
    path_ = DxfPath{{}, (p.flags & kClosed) != 0};
    path_motion_ = plane();
    in_path_ = true;
    pending_ = {attributes.getLayer(), line(), DxfPoint{}};
  }
  void addVertex(const DL_VertexData& v) override {
    if (in_path_) path_.corners.push_back({{v.x, v.y}, v.bulge});
  }

  void addSpline(const DL_SplineData& s) override {
    finish();
    spline_ = Spline{static_cast<int>(s.degree), {}, {}, {}};
    in_spline_ = true;
    pending_ = {attributes.getLayer(), line(), DxfPoint{}};
  }
  void addControlPoint(const DL_ControlPointData& p) override {
    if (!in_spline_) return;
    spline_.points.push_back({p.x, p.y});
    spline_.weights.push_back(p.w);
  }
  void addKnot(const DL_KnotData& k) override {
    if (in_spline_) spline_.knots.push_back(k.k);
  }

  void addInsert(const DL_InsertData& i) override {
    constexpr int kMostCopies = 10000;
    if (i.cols < 0 || i.rows < 0 || i.cols > kMostCopies || i.rows > kMostCopies)
      fail("too many copies of a block");
    const Motion to_world = plane();
    const double angle = i.angle * kDegree;
    const Point along{std::cos(angle), std::sin(angle)};
    const Point across = turned_left(along);
    DxfInsert insert;
    insert.block = i.name;
    insert.motion = to_world * Motion{i.sx * along, i.sy * across, {i.ipx, i.ipy}};
    insert.columns = std::max(1, i.cols);
    insert.rows = std::max(1, i.rows);
    const Point origin = to_world({});
    insert.column_step = to_world(i.colSp * along) - origin;
    insert.row_step = to_world(i.rowSp * across) - origin;
    add(insert);
  }

  void endEntity() override { finish(); }
  void endSequence() override { finish(); }

 private:
  [[noreturn]] void fail(const std::string& what) const { throw DxfError(name_, line(), what); }

  int line() const { return attributes.getHandle(); }

  // Arcs, circles, polylines and inserts have coordinates of their own plane; a mirror turns it
  // over.
  Motion plane() const {
    constexpr double kRounding = 1e-6;
    double direction[3] = {0.0, 0.0, 1.0};
    if (extrusion != nullptr) extrusion->getDirection(direction);
    if (std::abs(direction[0]) > kRounding || std::abs(direction[1]) > kRounding)
      fail("this entity does not lie in the x-y plane");
    return {{direction[2] < 0.0 ? -1.0 : 1.0, 0.0}, {0.0, 1.0}, {}};
  }

  void check_radius(double radius) const {
    if (!(radius > 0.0)) fail("a radius must be more than 0");
  }

  template <class What>
  void add(What what) {
    finish();
    push({attributes.getLayer(), line(), std::move(what)});
  }
  void push(DxfItem item) {
    (block_ != nullptr ? block_->items : items_.top).push_back(std::move(item));
  }

  // Polylines and splines come in pieces.
  void finish() {
    if (in_path_) {
      in_path_ = false;
      pending_.what = DxfPath{moved(path_.corners, path_.closed, path_motion_, 0.0), path_.closed};
      push(pending_);
    }
    if (in_spline_) {
      in_spline_ = false;
      check_spline();
      pending_.what = spline_;
      push(pending_);
    }
  }

  void check_spline() {
    constexpr int kHighestDegree = 11;
    const auto refuse = [&](const std::string& what) {
      throw DxfError(name_, pending_.line, "this spline " + what);
    };
    Spline& s = spline_;
    const std::size_t n = s.points.size();
    if (n == 0) refuse("has no control points; save it with them, or as a polyline");
    if (s.degree < 1 || s.degree > kHighestDegree) refuse("has a degree that is not from 1 to 11");
    const auto degree = static_cast<std::size_t>(s.degree);
    if (n <= degree) refuse("has too few control points for its degree");
    if (s.knots.size() != n + degree + 1) {
      refuse(fmt::format("has {} knots; with {} control points of degree {} it needs {}",
                         s.knots.size(), n, degree, n + degree + 1));
    }
    if (!std::is_sorted(s.knots.begin(), s.knots.end()) || !(s.knots[degree] < s.knots[n]))
      refuse("has knots that do not rise");
    if (std::any_of(s.weights.begin(), s.weights.end(), [](double w) { return !(w > 0.0); }))
      refuse("has a weight that is not more than 0");
  }

  const std::string& name_;
  DxfItems items_;
  DxfBlock* block_ = nullptr;
  DxfItem pending_;
  DxfPath path_;
  Motion path_motion_;
  Spline spline_;
  bool in_path_ = false;
  bool in_spline_ = false;
};

}  // namespace

DxfItems dxf_items(const DxfText& text, const std::string& name) {
  const CleanText clean = clean_text(text);
  std::istringstream stream(clean.text);
  Collector collector(name);
  DL_Dxf library;
  library.in(stream, &collector);
  return collector.take();
}

}  // namespace firstshot
