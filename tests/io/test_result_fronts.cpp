// Tables and files of weld lines and air: written, then read back by our reader and by VTK's.
#include <catch2/catch.hpp>
#include <vtkCellData.h>
#include <vtkDataArray.h>
#include <vtkPointData.h>
#include <vtkPolyData.h>
#include <vtkSmartPointer.h>

#include "io/air_view.hpp"
#include "io/result_reader.hpp"
#include "io/weld_lines_vtp.hpp"
#include "tests/io/sample_run.hpp"
#include "tests/io/vtk_text.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3;

Result with_fronts(const Setup& setup) {
  Result r = sample::result(setup, 3, Outcome::filled);
  WeldLine a;
  a.part = sample::odd_name;
  a.visible = true;
  a.points = {{{1 * mm, 2 * mm}, 100.0, 480.0, 1e6, 0.25},
              {{4 * mm, 6 * mm}, 20.0, 470.0, 2e6, 0.5},
              {{4 * mm, 9 * mm}, 30.0, 475.0, 3e6, 0.75}};
  measure(a);
  WeldLine b;
  b.part = "runner";
  b.in_channel = true;
  b.points = {{{0, 0}, 150.0, 490.0, 4e6, 0.1}, {{0, 1 * mm}, 160.0, 490.0, 4e6, 0.1}};
  measure(b);
  r.weld_lines = {a, b};
  AirPocketResult trap;
  trap.number = 7;
  trap.at = {3 * mm, -4 * mm};
  trap.part = sample::odd_name;
  trap.closed = 0.2;
  trap.closed_volume = 3e-8;
  trap.volume = 1e-9;
  trap.hollow = 2e-9;
  trap.pressure = 4e6;
  trap.peak_pressure = 5e6;
  trap.peak_temperature = 700.0;
  trap.isothermal_temperature = 313.0;
  trap.adiabatic_temperature = 900.0;
  trap.hot_time = 0.01;
  trap.trapped = true;
  trap.may_scorch = true;
  trap.proposal = VentProposal{
      true, true, {3.5 * mm, -4 * mm}, 0.5 * mm, 2 * mm, 0.02 * mm, 1.5 * mm, {}, "a vent"};
  AirPocketResult gone;
  gone.part = "runner";
  gone.vented = true;
  r.air_pockets = {trap, gone};
  r.scorch = {{"runner", {1 * mm, 0}, 5 * mm, 3.0, 600.0, 0.75},
              {"deck", {2 * mm, 0}, 10 * mm, 1.0, 100.0, 0.25}};
  return r;
}

std::vector<double> values(vtkDataArray* array) {
  REQUIRE(array != nullptr);
  std::vector<double> out;
  for (vtkIdType i = 0; i < array->GetNumberOfTuples(); ++i) out.push_back(array->GetTuple1(i));
  return out;
}

}  // namespace

TEST_CASE("weld lines, air pockets and the scorch ranking come back from the result file",
          "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  const Result written = with_fronts(setup);
  {
    ResultFile file = ResultFile::create(folder / "result.h5", sample::record(), setup.model);
    file.write_result(written, "{}");
  }
  const std::optional<Result> back = ResultReader(folder / "result.h5").result();
  REQUIRE(back);
  REQUIRE(back->weld_lines.size() == 2);
  for (std::size_t k = 0; k < 2; ++k) {
    const WeldLine &a = written.weld_lines[k], &b = back->weld_lines[k];
    CHECK(a.part == b.part);
    CHECK(a.kind == b.kind);
    CHECK(a.visible == b.visible);
    CHECK(a.in_channel == b.in_channel);
    CHECK(a.length == b.length);
    CHECK(a.temperature == b.temperature);
    CHECK(a.temperature_min == b.temperature_min);
    CHECK(a.angle_min_deg == b.angle_min_deg);
    CHECK(a.time == b.time);
    REQUIRE(a.points.size() == b.points.size());
    for (std::size_t i = 0; i < a.points.size(); ++i) {
      CHECK(a.points[i].at == b.points[i].at);
      CHECK(a.points[i].pressure == b.points[i].pressure);
    }
  }
  REQUIRE(back->air_pockets.size() == 2);
  const AirPocketResult &a = written.air_pockets[0], &b = back->air_pockets[0];
  CHECK(a.number == b.number);
  CHECK(a.at == b.at);
  CHECK(a.part == b.part);
  CHECK(a.closed == b.closed);
  CHECK(a.closed_volume == b.closed_volume);
  CHECK(a.volume == b.volume);
  CHECK(a.hollow == b.hollow);
  CHECK(a.pressure == b.pressure);
  CHECK(a.peak_pressure == b.peak_pressure);
  CHECK(a.peak_temperature == b.peak_temperature);
  CHECK(a.isothermal_temperature == b.isothermal_temperature);
  CHECK(a.adiabatic_temperature == b.adiabatic_temperature);
  CHECK(a.hot_time == b.hot_time);
  CHECK(b.trapped);
  CHECK(b.may_scorch);
  CHECK_FALSE(b.vented);
  REQUIRE(b.proposal);
  CHECK(b.proposal->reaches);
  CHECK(b.proposal->runner_end);
  CHECK(b.proposal->at == a.proposal->at);
  CHECK(b.proposal->width == a.proposal->width);
  CHECK(b.proposal->text == "a vent");
  CHECK_FALSE(back->air_pockets[1].proposal);
  CHECK(back->air_pockets[1].vented);
  REQUIRE(back->scorch.size() == 2);
  CHECK(back->scorch[0].place == "runner");
  CHECK(back->scorch[0].per_length == Approx(600.0));
  CHECK(back->scorch[1].share == Approx(0.25));
}

TEST_CASE("VTK reads the weld lines with all values along them", "[io][weld]") {
  const Result r = with_fronts(sample::setup());
  const auto lines = sample::read_lines(weld_lines_vtp(r.weld_lines, mm));
  REQUIRE(lines->GetNumberOfLines() == 2);
  REQUIRE(lines->GetNumberOfPoints() == 5);
  double at[3];
  lines->GetPoint(1, at);
  CHECK(at[0] == Approx(4.0));
  CHECK(at[1] == Approx(6.0));
  const std::vector<double> angle = values(lines->GetPointData()->GetArray("meeting angle [deg]"));
  CHECK(angle == std::vector<double>{100.0, 20.0, 30.0, 150.0, 160.0});
  CHECK(values(lines->GetPointData()->GetArray("pressure [MPa]"))[2] == Approx(3.0));
  CHECK(values(lines->GetPointData()->GetArray("mean temperature [degC]"))[1] ==
        Approx(470.0 - 273.15));
  CHECK(values(lines->GetPointData()->GetArray("meeting time [s]"))[2] == Approx(0.75));
}

TEST_CASE("VTK reads the pockets of air with their values", "[io][air]") {
  const Result r = with_fronts(sample::setup());
  const auto points = sample::read_lines(air_pockets_vtp(r, mm));
  REQUIRE(points->GetNumberOfPoints() == 2);
  REQUIRE(points->GetNumberOfVerts() == 2);
  double at[3];
  points->GetPoint(0, at);
  CHECK(at[0] == Approx(3.0));
  CHECK(at[1] == Approx(-4.0));
  const auto first = [&](const char* name) {
    return values(points->GetPointData()->GetArray(name))[0];
  };
  CHECK(first("pocket") == 7.0);
  CHECK(first("peak pressure [MPa]") == Approx(5.0));
  CHECK(first("peak temperature [degC]") == Approx(700.0 - 273.15));
  CHECK(first("left [mm3]") == Approx(1.0));
  CHECK(first("closed volume [mm3]") == Approx(30.0));
  CHECK(first("vented") == 0.0);
  CHECK(first("may scorch") == 1.0);
  CHECK(first("vent reaches") == 1.0);
  CHECK(first("vent width [mm]") == Approx(2.0));
}
