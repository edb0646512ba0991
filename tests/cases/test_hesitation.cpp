// A thin region beside a thick one waits and may freeze; a thick rim lets the front race around.
#include <cmath>
#include <filesystem>

#include <catch2/catch.hpp>

#include "io/build_setup.hpp"
#include "io/case.hpp"
#include "solver/whole/run_case.hpp"

using namespace firstshot;

namespace {

const std::filesystem::path cases = std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases";
constexpr double mm = 1e-3;

Setup setup_of(const std::string& text) {
  const CardFolders cards{{cases / "materials"}, {cases / "presses"}};
  return build_setup(read_case_text(text, "case.toml", ""), cards).setup;
}

/// A bar of 80 mm, 2.4 mm thick, with a fin of 12 × 12 mm on its side near the gate.
Setup finned_bar(const std::string& fin, const std::string& fill_time) {
  return setup_of(R"([layout]
unit = "mm"
[[layout.part]]
name = "bar"
thickness = "2.4 mm"
polygon = [[0, 0], [80, 0], [80, 10], [24, 10], [24, 22], [12, 22], [12, 10], [0, 10]]
[[layout.part.step]]
thickness = ")" + fin +
                  R"("
polygon = [[12, 10], [24, 10], [24, 22], [12, 22]]
[injection]
at = [0, 5]
width = "8 mm"
[material]
card = "hips-8"
[process]
fill_time = ")" + fill_time +
                  R"("
[accuracy]
level = "preview"
element_size = "2 mm"
)");
}

/// Time when the nearest control volume to a place [mm] was half full, -1 = never.
double arrival(const Setup& setup, const Result& result, double x, double y) {
  std::size_t best = 0;
  double least = 1.0;
  for (std::size_t i = 0; i < setup.model.n_nodes(); ++i) {
    const Point3& p = setup.model.position[make_id<NodeId>(i)];
    const double away = std::hypot(p.x - x * mm, p.y - y * mm);
    if (away < least) {
      least = away;
      best = i;
    }
  }
  return result.state.arrival.vector()[best];
}

Result filled(const Setup& setup) {
  // What counts happens in filling; holding is left out.
  return run_case(setup, [](const Snapshot& s) { return s.state.mode != FillMode::done; });
}

}  // namespace

TEST_CASE("the front waits in a thin fin beside a thick bar", "[case][hesitation]") {
  // (18, 16) and (28, 5) are about equally far from the inlet. In a fin as thick as the bar the
  // front gets there first; in a fin of a third of the thickness long after.
  const Setup even = finned_bar("2.4 mm", "0.3 s"), thin = finned_bar("0.8 mm", "0.3 s");
  const Result a = filled(even), b = filled(thin);
  const double lag_even = arrival(even, a, 18, 16) - arrival(even, a, 28, 5);
  const double lag_thin = arrival(thin, b, 18, 16) - arrival(thin, b, 28, 5);
  INFO("fin behind bar: " << lag_even << " s when even, " << lag_thin << " s when thin");
  CHECK(lag_even < 0.0);
  CHECK(lag_thin > 0.03);
  CHECK(arrival(thin, b, 18, 21) > 1.4 * arrival(even, a, 18, 21));
  CHECK(b.state.outcome == Outcome::filled);
}

TEST_CASE("a fin that waits too long freezes and stays short", "[case][hesitation]") {
  const Setup slow = finned_bar("0.6 mm", "4 s");
  const Result r = filled(slow);
  CHECK(r.filled_fraction < 0.999);
  REQUIRE(r.short_shots.size() == 1);
  CHECK(r.state.outcome == Outcome::frozen);
  CHECK(r.short_shots[0].at.y > 12 * mm);
  CHECK(arrival(slow, r, 78, 5) > 0.0);
  CHECK(arrival(slow, r, 18, 21) < 0.0);
}

TEST_CASE("the front races through a thick rim and comes back to the thin middle",
          "[case][hesitation]") {
  const CardFolders cards{{cases / "materials"}, {cases / "presses"}};
  Case c = read_case(cases / "thick-rim" / "case.toml");
  set_accuracy_level(c, "preview");
  const Setup setup = build_setup(c, cards).setup;
  const Result r = filled(setup);
  const double far_rim = arrival(setup, r, 48, 0), middle = arrival(setup, r, 28, 0);
  CHECK(far_rim > 0.0);
  INFO("rim " << far_rim << " s, middle " << middle << " s");
  CHECK((middle < 0.0 || middle > 1.05 * far_rim));
}
