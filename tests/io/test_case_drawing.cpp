#include <fstream>

#include <catch2/catch.hpp>

#include "tests/io/case_samples.hpp"
#include "tests/io/dxf_samples.hpp"
#include "tests/io/full_cases.hpp"

using namespace firstshot;

namespace {

// A folder with a drawing and cases beside it.
class Desk {
 public:
  explicit Desk(const std::string& drawing = test::small_drawing()) : scratch_("drawing") {
    std::ofstream(scratch_.path() / "frame.dxf") << drawing;
  }
  Case read(const std::string& text = drawing_case()) const {
    return read_case_text(text, "case.toml", scratch_.path());
  }
  /// The error after one change of the case.
  CaseError error(const std::string& from, const std::string& to) const {
    const auto e = error_of(replaced(drawing_case(), from, to), scratch_.path());
    REQUIRE(e);
    return *e;
  }

 private:
  ScratchFolder scratch_;
};

}  // namespace

TEST_CASE("a drawing and the meaning of its layers make a layout", "[io][dxf]") {
  const Case c = Desk().read();
  const Layout& layout = c.layout;
  REQUIRE(layout.areas.size() == 1);
  CHECK(layout.areas[0].name == "deck");
  CHECK(layout.areas[0].visible);
  CHECK(layout.areas[0].thickness == Approx(1.2e-3));
  REQUIRE(layout.runners.size() == 2);
  CHECK(layout.runners[0].name == "runner-1");
  CHECK(layout.runners[0].points.front() == Point{});
  CHECK(std::get<RoundSection>(layout.runners[0].end).diameter == Approx(3.3e-3));
  REQUIRE(layout.gates.size() == 1);
  CHECK(layout.gates[0].name == "g-deck");
  CHECK(layout.gates[0].to == Point{0.011, 0.0});
  REQUIRE(layout.sprue);
  CHECK(layout.sprue->foot_diameter == Approx(5e-3));
  CHECK(unit_length(c) == 1e-3);
}

TEST_CASE("the foot of a sprue is the circle drawn unless the layer says otherwise", "[io][dxf]") {
  const Case c = Desk().read(replaced(drawing_case(), "foot_diameter = \"5 mm\"\n", ""));
  CHECK(c.layout.sprue->foot_diameter == Approx(4e-3));
}

TEST_CASE("layers without a meaning and meanings without a layer are refused with their names",
          "[io][dxf]") {
  const Desk desk;
  CHECK_THAT(desk.error("name = \"GATES\"", "name = \"GATE\"").what(),
             Catch::Contains("without a [[layer]] entry: GATES") &&
                 Catch::Contains("PARTS, RUNNERS, ROUND, GATES, Sprue"));
  const CaseError more =
      desk.error("[[part]]", "[[layer]]\nname = \"PINS\"\nrole = \"ignore\"\n[[part]]");
  CHECK(more.key() == "layer[6].name");
  CHECK_THAT(more.what(), Catch::Contains("nothing on a layer \"PINS\""));
  CHECK_THAT(desk.error("name = \"ROUND\"", "name = \"runners\"").what(),
             Catch::Contains("stands already"));
}

TEST_CASE("each role takes its own measures", "[io][dxf]") {
  const Desk desk;
  CHECK(desk.error("thickness = \"1.2 mm\"\n", "").key() == "layer[1].thickness");
  const CaseError width =
      desk.error("thickness = \"1.2 mm\"", "width = \"1 mm\"\nthickness = \"1.2 mm\"");
  CHECK(width.key() == "layer[1].width");
  CHECK_THAT(width.what(), Catch::Contains("role \"part\""));
  CHECK(desk.error("depth = \"0.6 mm\"\n", "").key() == "layer[4].depth");
  CHECK(desk.error("nozzle_diameter = \"3 mm\"\n", "").key() == "layer[5].nozzle_diameter");
  CHECK(desk.error("role = \"gate\"", "role = \"hole\"").key() == "layer[4].width");
}

TEST_CASE("a drawing that is not there is refused at its key", "[io][dxf]") {
  const CaseError e = Desk().error("frame.dxf", "frames.dxf");
  CHECK(e.key() == "geometry.dxf");
  CHECK(e.line() == 2);
}

TEST_CASE("without a sprue the drawing needs an injection point", "[io][dxf]") {
  const std::string no_sprue = test::dxf_file(test::dxf_box("PARTS", "0", "0", "9", "9"));
  const std::string head =
      "[geometry]\ndxf = \"frame.dxf\"\n[[layer]]\nname = \"parts\"\nrole = "
      "\"part\"\nthickness = \"1 mm\"\n";
  const std::string rest = "[material]\ncard = \"x\"\n[process]\nfill_time = \"1 s\"\n";
  const Desk desk(no_sprue);
  CHECK_THROWS_WITH(desk.read(head + rest), Catch::Contains("injection.at"));
  const Case c = desk.read(head + "[injection]\nat = [4, 5]\n" + rest);
  CHECK(c.layout.injection == Point{0.004, 0.005});
  CHECK(c.layout.areas[0].name == "part-1");
}
