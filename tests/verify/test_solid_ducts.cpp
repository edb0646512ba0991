// Channels, ribs and tilted walls that came as closed solids, against the handbook and against each
// other.
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "mesh/plane.hpp"
#include "mesh/solid/build_solid_model.hpp"
#include "solver/flow/mobility.hpp"
#include "solver/flow/relief_wall.hpp"
#include "tests/mesh/bodies.hpp"
#include "tests/verify/sample_models.hpp"
#include "tests/verify/steady_flow.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3;
constexpr double cm3 = 1e-6;

/// Channel along y from a section in x-z, fed over its end at y = 0.
Model duct(const std::vector<Point>& section, double length, double width) {
  SolidOptions options;
  options.draw = Point3{0, 0, 1};
  options.injection = Point{0.0, 0.0};
  options.injection_width = 0.98 * width;
  options.mesh.element_size = width / 6;
  return build_solid_model(test::extruded(section, 0, length, 20), options);
}

/// Pressure per length between 30 % and 70 % of the way.
double gradient(const Model& model, double length, const ViscosityLaw& law, double flow) {
  Setup setup = sample::isothermal_fill(model, law, flow, 10);
  setup.process.melt_temperature = 493.15;
  std::vector<std::size_t> end;
  for (std::size_t i = 0; i < model.n_nodes(); ++i)
    if (model.position.vector()[i].y > length * (1 - 1e-6)) end.push_back(i);
  const auto result = sample::steady_flow(setup, flow, end);
  // Straight line through all nodes of the middle stretch.
  double n = 0, sy = 0, sp = 0, syy = 0, syp = 0;
  for (std::size_t i = 0; i < model.n_nodes(); ++i) {
    const double y = model.position.vector()[i].y / length, p = result.pressure[i];
    if (y < 0.3 || y > 0.7) continue;
    n += 1, sy += y, sp += p, syy += y * y, syp += y * p;
  }
  return -(n * syp - sy * sp) / (n * syy - sy * sy) / length;
}

/// Power law in a duct of given area, perimeter and b + a/n [Kozicki1966].
double handbook(double area, double perimeter, double shape, double n, double K, double flow) {
  const double Dh = 4 * area / perimeter;
  return 4 / Dh * K * std::pow(8 * flow / area / Dh * shape, n);
}

std::vector<Point> arc(double radius, double from, double to, int n) {
  std::vector<Point> points;
  for (int k = 0; k <= n; ++k) {
    const double a = from + (to - from) * k / n;
    points.push_back({radius * std::cos(a), radius * std::sin(a)});
  }
  return points;
}

struct Case {
  std::string name;
  std::vector<Point> section;
  double width, area, perimeter;
  double shape[5];  ///< b + a/n for n = 1, .75, .5, .35, .25; 0 where not known
};

std::vector<Case> cases() {
  constexpr double pi = std::numbers::pi;
  std::vector<Case> all;
  const auto rectangle = [](double w, double d) {
    return std::vector<Point>{{-w / 2, 0}, {w / 2, 0}, {w / 2, d}, {-w / 2, d}};
  };
  // fRe/16 of rectangles: series [ShahLondon1978].
  all.push_back({"square", rectangle(4 * mm, 4 * mm), 4 * mm, 16e-6, 16 * mm, {14.22708 / 16}});
  all.push_back({"wide 2:1", rectangle(4 * mm, 2 * mm), 4 * mm, 8e-6, 12 * mm, {15.54806 / 16}});
  all.push_back({"tall 1:2", rectangle(2 * mm, 4 * mm), 2 * mm, 8e-6, 12 * mm, {15.54806 / 16}});
  all.push_back({"tall 1:4", rectangle(1 * mm, 4 * mm), 1 * mm, 4e-6, 10 * mm, {18.23278 / 16}});
  all.push_back({"rib 1:6", rectangle(1 * mm, 6 * mm), 1 * mm, 6e-6, 14 * mm, {19.702 / 16}});
  // Sections with shear thinning: own quadratic finite elements on the same sections (values
  // computed for the checks; rectangles come out of the same code within 1e-5 of the series).
  all.push_back({"half round",
                 arc(2 * mm, -pi, 0, 60),
                 4 * mm,
                 pi * 2e-6,
                 (pi + 2) * 2 * mm,
                 {15.7668 / 16, 1.04524, 1.15989, 1.29683, 1.46154}});
  auto full = arc(2 * mm, -pi, pi, 120);
  full.pop_back();
  all.push_back(
      {"round", full, 4 * mm, pi * 4e-6, pi * 4 * mm, {1.0, 1.08333, 1.25, 1.46429, 1.75}});
  const double t = std::tan(10 * pi / 180);
  all.push_back(
      {"trapezoid 1, 10 deg",
       {{-2 * mm, 0}, {-2 * mm + 4 * mm * t, -4 * mm}, {2 * mm - 4 * mm * t, -4 * mm}, {2 * mm, 0}},
       4 * mm,
       0.823673 * 16e-6,
       3.67820 * 4 * mm,
       {14.3009 / 16, 0.93966, 1.02426, 1.11880, 1.22194}});
  all.push_back({"trapezoid 1.25, 10 deg",
                 {{-2.5 * mm, 0},
                  {-2.5 * mm + 4 * mm * t, -4 * mm},
                  {2.5 * mm - 4 * mm * t, -4 * mm},
                  {2.5 * mm, 0}},
                 5 * mm,
                 1.07367 * 16e-6,
                 4.17820 * 4 * mm,
                 {14.1890 / 16, 0.93237, 1.01615, 1.10942, 1.21068}});
  return all;
}

}  // namespace

TEST_CASE("ducts that came as solids drop the handbook's pressure", "[verify][analytic]") {
  const double index[] = {1.0, 0.75, 0.5, 0.35, 0.25};
  for (const Case& c : cases()) {
    const double length = 12 * c.width;
    const Model model = duct(c.section, length, c.width);
    for (int k = 0; k < 5; ++k) {
      if (!(c.shape[k] > 0)) continue;
      const double n = index[k], K = 1e4, flow = 2 * cm3;
      const double exact = handbook(c.area, c.perimeter, c.shape[k], n, K, flow);
      const double ratio = gradient(model, length, PowerLaw{K, n, 0.0, 493.15}, flow) / exact;
      INFO(c.name << " n " << n);
      const bool tall = c.name.find("tall") == 0 || c.name.find("rib") == 0;
      CHECK(ratio == Approx(1.0).margin(tall ? 0.10 : 0.05));
    }
  }
}
