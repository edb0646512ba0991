#include <catch2/catch.hpp>

#include "io/air_view.hpp"
#include "io/build_setup.hpp"
#include "mesh/error.hpp"
#include "solver/assess/flash.hpp"
#include "solver/flow/air_outlets.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/refusal.hpp"

using namespace firstshot;

namespace {

BuiltSetup with(const std::string& text) {
  return build_setup(
      read_case_text(disc_case() + "[accuracy]\nelement_size = \"8 mm\"\n" + text, "case.toml", ""),
      plain_cards());
}

std::string refusal_of(const std::string& text) {
  return test::refusal_of([&] { with(text); });
}
std::string refusal(const std::string& vent) { return refusal_of("[[vent]]\n" + vent); }

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

TEST_CASE("the factor on vents is for the air alone: melt sees what is cut", "[io][air]") {
  const std::string vent = "[[vent]]\nat = [[50, 0]]\nwidth = \"4 mm\"\ndepth = \"0.1 mm\"\n";
  const BuiltSetup built = with("[air]\nvent_depth_factor = 0.25\n" + vent);
  const AirOutlets outlets = air_outlets(built.setup);
  REQUIRE(outlets.kinds.size() == 2);
  CHECK(outlets.kinds[0].depth == Approx(5e-6));  // the parting line
  CHECK(outlets.kinds[1].depth == Approx(25e-6));
  CHECK(built.setup.air.vents[0].depth == Approx(0.1e-3));
  CHECK(flash_gaps(built.setup).size() == 1);
}

TEST_CASE("a vent that lets melt out is a finding, not an error", "[io][air]") {
  const BuiltSetup built = with("[[vent]]\nat = [[50, 0]]\nwidth = \"4 mm\"\ndepth = \"0.1 mm\"\n");
  const std::vector<FlashGap> gaps = flash_gaps(built.setup);
  REQUIRE(gaps.size() == 1);
  CHECK(gaps[0].what == "vent 1");
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

TEST_CASE("an ejector pin is taken as it is written, with a name of its own", "[io][air]") {
  const BuiltSetup built = with(
      "[[ejector]]\nat = [20, 1]\ndiameter = \"3 mm\"\n[[ejector]]\nname = \"b\"\nat = "
      "[-20, 0]\ndiameter = \"2 mm\"\nclearance = \"0.02 mm\"\nland = \"3 mm\"\n");
  REQUIRE(built.setup.ejectors.size() == 2);
  const EjectorPin &first = built.setup.ejectors[0], &second = built.setup.ejectors[1];
  CHECK(first.name == "pin 1");
  CHECK(first.at.x == Approx(20e-3));
  CHECK(first.diameter == Approx(3e-3));
  CHECK(first.clearance == Approx(5e-6));
  CHECK(first.land == Approx(8e-3));
  CHECK(second.name == "b");
  CHECK(second.clearance == Approx(20e-6));
  CHECK(second.land == Approx(3e-3));
  for (const std::string& note : built.notes) CHECK_THAT(note, !Catch::Contains("ejector"));
}

TEST_CASE("a pin with a gap that lets melt out is a finding, one beside the frame is refused",
          "[io][air]") {
  using Catch::Contains;
  const std::string pin = "[[ejector]]\nat = [20, 0]\ndiameter = \"3 mm\"\n";
  const std::vector<FlashGap> gaps = flash_gaps(with(pin + "clearance = \"0.1 mm\"\n").setup);
  REQUIRE(gaps.size() == 1);
  CHECK_THAT(gaps[0].what, Contains("ejector \"pin 1\""));
  CHECK_THAT(refusal_of(replaced(pin, "20", "80")),
             Contains("case.toml:") && Contains("lies on no part and no runner"));
  CHECK_THAT(refusal_of(replaced(pin, "3 mm", "0 mm")), Contains("allowed"));
  CHECK_THAT(refusal_of(pin + "name = \"a\"\n" + pin + "name = \"a\"\n"),
             Contains("names must differ"));
}

TEST_CASE("a negative leak is refused", "[io][air]") {
  const auto e = test::refused<CaseError>([] { with("[air]\nparting_line_gap = \"-1 um\"\n"); });
  REQUIRE(e);
  CHECK(e->key() == "air.parting_line_gap");
  CHECK_THAT(e->what(), Catch::Contains("allowed"));
}

TEST_CASE("the pockets of a run become points with their values", "[io][air]") {
  Result result;
  CHECK_THAT(air_pockets_vtp(result, 1e-3), Catch::Contains("NumberOfPoints=\"0\""));
  result.air_pockets.resize(3);
  const std::string text = air_pockets_vtp(result, 1e-3);
  CHECK_THAT(text, Catch::Contains("NumberOfPoints=\"3\"") &&
                       Catch::Contains("peak pressure [MPa]") && Catch::Contains("may scorch"));
}
