// What must hold for any frame, on frames drawn by dice: whole runs compared with whole runs.
#include <algorithm>
#include <cmath>
#include <iostream>
#include <optional>
#include <vector>

#include <catch2/catch.hpp>

#include "mesh/build_model.hpp"
#include "mesh/error.hpp"
#include "solver/stage/fill.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/mesh/random_frame.hpp"
#include "tests/verify/sample_models.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3;
constexpr double cm3 = 1e-6;
const PowerLaw thinning{1.5e4, 0.3, 0.0, 493.15};
/// General-purpose polystyrene; Flaman 1990, Zoetelief et al. 1996, from memory, unconfirmed.
const CrossWlf gpps{0.252, 3.08e4, 4.76e10, 373.15, 0.0, 25.74, 61.06};

MeshOptions mesh_size(double element) {
  MeshOptions options;
  options.element_size = element;
  return options;
}

/// The first `count` frames from `seed` on that can be meshed.
std::vector<Layout> frames(unsigned seed, std::size_t count) {
  std::vector<Layout> found;
  for (; found.size() < count; ++seed) {
    try {
      const Layout layout = test::random_frame(seed);
      build_model(layout, mesh_size(3 * mm));
      found.push_back(layout);
    } catch (const GeometryError&) {
      // a frame that is refused: tests/mesh/test_random_layouts.cpp
    }
  }
  return found;
}

Setup isothermal(const Model& model, const ViscosityLaw& law, double flow) {
  Setup s = sample::isothermal_fill(model, law, flow, 30);
  s.process.entrance_length = 3.0;
  s.accuracy.layers = 6;
  s.accuracy.tolerance = 1e-8;
  return s;
}

/// With heat, the press in the loop and a no-flow temperature.
Setup with_heat(const Model& model, int volume_steps) {
  Setup s = isothermal(model, gpps, 20 * cm3);
  s.isothermal = false;
  s.material.no_flow_temperature = 400.0;
  s.process.barrel_compressible = true;
  s.accuracy.volume_steps = volume_steps;
  return s;
}

Model turned(Model model, double angle) {
  const double c = std::cos(angle), s = std::sin(angle);
  for (Point& p : model.mesh.points.span()) p = {c * p.x - s * p.y, s * p.x + c * p.y};
  for (Point3& p : model.position.span()) p = {c * p.x - s * p.y, s * p.x + c * p.y, p.z};
  return model;
}

Model mirrored(Model model) {
  for (Point& p : model.mesh.points.span()) p.x = -p.x;
  for (Point3& p : model.position.span()) p.x = -p.x;
  for (Triangle& t : model.mesh.triangles.span()) std::swap(t[1], t[2]);
  return model;
}

Section scaled(const Section& section, double s) {
  return std::visit(
      [s](auto out) -> Section {
        if constexpr (requires { out.width; }) {
          out.width *= s;
          out.depth *= s;
        } else {
          out.diameter *= s;
        }
        return out;
      },
      section);
}

Model scaled(Model model, double s) {
  for (Point& p : model.mesh.points.span()) p = {s * p.x, s * p.y};
  for (Point3& p : model.position.span()) p = {s * p.x, s * p.y, s * p.z};
  for (double& h : model.thickness.span()) h *= s;
  for (LineElement& line : model.lines.span()) {
    line.length *= s;
    line.start = scaled(line.start, s);
    line.end = scaled(line.end, s);
    line.entrance_radius *= s;
  }
  return model;
}

/// Largest difference of two runs, relative to their largest value, over pressures of all steps and
/// arrival times of all nodes. @param time_ratio, pressure_ratio of b over a
double difference(const Result& a, const Result& b, double time_ratio = 1.0,
                  double pressure_ratio = 1.0) {
  REQUIRE(a.history.size() == b.history.size());
  double pressure = 0.0, arrival = 0.0;
  for (std::size_t k = 0; k < a.history.size(); ++k)
    pressure = std::max(pressure, std::abs(b.history[k].injection_pressure / pressure_ratio -
                                           a.history[k].injection_pressure));
  const auto& before = a.state.arrival.vector();
  const auto& after = b.state.arrival.vector();
  for (std::size_t i = 0; i < before.size(); ++i)
    if (before[i] >= 0.0) arrival = std::max(arrival, std::abs(after[i] / time_ratio - before[i]));
  return std::max(pressure / a.peak_pressure, arrival / a.history.back().time);
}

}  // namespace

TEST_CASE("any frame on a turned or mirrored mesh fills alike to rounding", "[verify][identity]") {
  // Rounding of 1e-16 per operation. With heat it grows where the melt is about to stop: a layer
  // that passes the no-flow temperature a little later moves the flow of all that comes after.
  struct Kind {
    const char* name;
    Setup (*setup)(const Model&);
    double limit;
  };
  const Kind kinds[] = {
      {"isothermal", [](const Model& m) { return isothermal(m, gpps, 20 * cm3); }, 1e-9},
      {"with heat", [](const Model& m) { return with_heat(m, 30); }, 1e-6}};
  for (const Layout& layout : frames(1, 2)) {
    const Model model = build_model(layout, mesh_size(3 * mm));
    for (const Kind& kind : kinds) {
      const Result plain = run_case(kind.setup(model));
      const double turn = difference(plain, run_case(kind.setup(turned(model, 0.7))));
      const double mirror = difference(plain, run_case(kind.setup(mirrored(model))));
      std::cout << kind.name << ", turned mesh: " << turn << ", mirrored mesh: " << mirror << "\n";
      CHECK(turn < kind.limit);
      CHECK(mirror < kind.limit);
    }
  }
}

TEST_CASE("any frame meshed anew after turning or mirroring fills alike within 1 %",
          "[verify][identity]") {
  Image turn, mirror;
  turn.turn = 0.7;
  turn.move = {37 * mm, -512 * mm};
  mirror.mirror = {{Point{0.0, 0.0}, Point{0.3, 1.0}}};
  for (const Layout& layout : frames(1, 2)) {
    const auto run = [](const Layout& frame) {
      return run_case(with_heat(build_model(frame, mesh_size(1.5 * mm)), 60));
    };
    const Result plain = run(layout);
    for (const Image& image : {turn, mirror}) {
      const Result other = run(test::transformed_frame(layout, image));
      std::cout << "meshed anew: pressure " << 100 * (other.peak_pressure / plain.peak_pressure - 1)
                << " %, fill time " << 100 * (other.fill_time / plain.fill_time - 1) << " %\n";
      CHECK(other.outcome == plain.outcome);
      CHECK(other.peak_pressure == Approx(plain.peak_pressure).epsilon(0.01));
      CHECK(other.fill_time == Approx(plain.fill_time).epsilon(0.01));
      CHECK(other.volume == Approx(plain.volume).epsilon(0.01));
    }
  }
}

TEST_CASE("any frame filled at another rate has times and pressures in proportion",
          "[verify][identity]") {
  // p ~ Qⁿ and p ~ K of a power-law melt, time ~ 1/Q: the same steps of volume.
  for (const Layout& layout : frames(11, 2)) {
    const Model model = build_model(layout, mesh_size(3 * mm));
    const Result plain = run_case(isothermal(model, thinning, 10 * cm3));
    const Result fast = run_case(isothermal(model, thinning, 80 * cm3));
    PowerLaw thick = thinning;
    thick.K *= 2.0;
    const Result stiff = run_case(isothermal(model, thick, 10 * cm3));
    CHECK(difference(plain, fast, 1.0 / 8.0, std::pow(8.0, 0.3)) < 1e-6);
    CHECK(difference(plain, stiff, 1.0, 2.0) < 1e-6);
  }
}

TEST_CASE("any frame in another size has the same pressures at the same times",
          "[verify][identity]") {
  // Every length times s, flow times s³: the same shear rates, so the same pressures for any law.
  constexpr double s = 1.7;
  for (const Layout& layout : frames(21, 2)) {
    const Model model = build_model(layout, mesh_size(3 * mm));
    const Result plain = run_case(isothermal(model, gpps, 10 * cm3));
    const Result large = run_case(isothermal(scaled(model, s), gpps, s * s * s * 10 * cm3));
    CHECK(difference(plain, large) < 1e-6);
  }
}

TEST_CASE("in any frame the melt stored is the inflow of all steps", "[verify][balance]") {
  for (const Layout& layout : frames(31, 3)) {
    const Setup setup = with_heat(build_model(layout, mesh_size(3 * mm)), 30);
    const Result r = run_case(setup);
    double inflow = 0.0, before = 0.0;
    for (const HistoryEntry& h : r.history) {
      if (r.hold.held && h.time > r.hold.start) break;
      inflow += h.flow_rate * (h.time - before);
      before = h.time;
    }
    const Fill fill(setup);
    double stored = 0.0;
    for (std::size_t i = 0; i < r.state.fill.size(); ++i)
      stored += fill.volumes().volume[i] * r.state.fill.vector()[i];
    CHECK(std::abs(stored / inflow - 1.0) < 1e-9);
    CHECK(r.mass_error < 1e-9);
    CHECK(r.hold.mass_error < 1e-9);
  }
}
