#include <catch2/catch.hpp>

#include "io/air_view.hpp"
#include "io/build_setup.hpp"
#include "mesh/error.hpp"
#include "tests/io/case_samples.hpp"

using namespace firstshot;

namespace {

// A material that needs no card; its vents may be 30 um deep.
Cards plain_cards() {
  Cards cards;
  cards.material.name = "plain";
  cards.material.viscosity = Newtonian{100.0, 0.0, 493.15};
  cards.material.heat_capacity = {{300.0}, {2000.0}};
  return cards;
}

BuiltSetup with(const std::string& text) {
  return build_setup(
      read_case_text(disc_case() + "[accuracy]\nelement_size = \"8 mm\"\n" + text, "case.toml", ""),
      plain_cards());
}

std::string refusal(const std::string& vent) {
  try {
    with("[[vent]]\n" + vent);
  } catch (const Error& e) {
    return e.what();
  }
  return "";
}

}  // namespace

TEST_CASE("a vent on the rim is taken as it is written", "[io][air]") {
  const BuiltSetup built =
      with("[[vent]]\nat = [[50, 0]]\nwidth = \"4 mm\"\ndepth = \"0.02 mm\"\nland = \"2 mm\"\n");
  REQUIRE(built.setup.air.vents.size() == 1);
  const Vent& vent = built.setup.air.vents[0];
  CHECK(vent.width == Approx(4e-3));
  CHECK(vent.depth == Approx(20e-6));
  CHECK(vent.land == Approx(2e-3));
  CHECK(built.setup.air.enabled);
}

TEST_CASE("a vent that lets melt out is a finding, not an error", "[io][air]") {
  const BuiltSetup built = with("[[vent]]\nat = [[50, 0]]\nwidth = \"4 mm\"\ndepth = \"0.1 mm\"\n");
  bool said = false;
  for (const std::string& note : built.notes)
    said = said || note.find("Vent 1 is 0.1 mm deep") != std::string::npos;
  CHECK(said);
}

TEST_CASE("a vent where none can be is refused with its place and what is allowed", "[io][air]") {
  using Catch::Contains;
  CHECK_THAT(refusal("at = [[20, 0]]\nwidth = \"4 mm\"\ndepth = \"0.02 mm\"\n"),
             Contains("case.toml:") && Contains("from the nearest edge of a part"));
  CHECK_THAT(refusal("at = [[50, 0]]\nwidth = \"4 mm\"\ndepth = \"2.5 mm\"\n"),
             Contains("much shallower than the part"));
  CHECK_THAT(refusal("at = [[50, 0]]\nwidth = \"400 mm\"\ndepth = \"0.02 mm\"\n"),
             Contains("of edge it lies on"));
  CHECK_THAT(refusal("at = [[50, 0], [49.9, 3]]\nwidth = \"9 mm\"\ndepth = \"0.02 mm\"\n"),
             Contains("of edge it lies on"));
  CHECK_THAT(refusal("at = []\nwidth = \"9 mm\"\ndepth = \"0.02 mm\"\n"),
             Contains("one or two points are needed"));
  CHECK_THAT(refusal("at = [[50, 0]]\nwidth = \"0 mm\"\ndepth = \"0.02 mm\"\n"),
             Contains("allowed"));
}

TEST_CASE("a negative leak is refused", "[io][air]") {
  try {
    with("[air]\nparting_line_gap = \"-1 um\"\n");
    CHECK(false);
  } catch (const CaseError& e) {
    CHECK(e.key() == "air.parting_line_gap");
    CHECK_THAT(e.what(), Catch::Contains("allowed"));
  }
}

TEST_CASE("the pockets of a run become points with their values", "[io][air]") {
  Result result;
  CHECK_THAT(air_pockets_vtp(result, 1e-3), Catch::Contains("NumberOfPoints=\"0\""));
  result.air_pockets.resize(3);
  const std::string text = air_pockets_vtp(result, 1e-3);
  CHECK_THAT(text, Catch::Contains("NumberOfPoints=\"3\"") &&
                       Catch::Contains("peak pressure [MPa]") && Catch::Contains("may scorch"));
}
