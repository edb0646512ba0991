// The process window as a user starts it.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <numbers>
#include <sstream>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <signal.h>

#include "io/h5_file.hpp"
#include "tests/cli/run_program.hpp"
#include "tests/io/card_samples.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;
using nlohmann::json;
namespace fs = std::filesystem;

std::string text_of(const fs::path& file) {
  std::ostringstream text;
  text << std::ifstream(file).rdbuf();
  return text.str();
}

constexpr double viscosity = 500.0, length = 60e-3, width = 40e-3, gap = 1.5e-3;
/// Of the length that is full when the press gives up its speed: there the pressure is highest.
constexpr double switched = 0.8;

const std::string newtonian = R"(law = "newtonian"
reference_viscosity = "500 Pa s"
reference_temperature = "220 degC"
temperature_coefficient = "0 1/K"
band = "0 %"
source = "test")";

/// A strip without air and cooling that takes some hundredths of a second.
std::string strip(const std::string& card_name) {
  return R"(title = "Strip"
[layout]
unit = "mm"
[[layout.part]]
name = "strip"
thickness = "1.5 mm"
polygon = [[0, -20], [60, -20], [60, 20], [0, 20]]
[injection]
at = [0, 0]
width = "40 mm"
[material]
card = ")" +
         card_name + R"("
[process]
fill_time = "0.5 s"
switch_over = { volume = "80 %" }
barrel_compressible = false
isothermal = true
[air]
enabled = false
[accuracy]
element_size = "2 mm"
layers = 4
volume_steps = 40
)";
}

std::vector<std::string> window(const std::string& file, const fs::path& out,
                                std::vector<std::string> further = {}) {
  std::vector<std::string> arguments = {"window", file, "-o", out.string(), "--quiet"};
  arguments.insert(arguments.end(), further.begin(), further.end());
  return arguments;
}

const std::vector<std::string> two_axes = {"--axis", "process.fill_time=0.1 s..1.6 s ratio",
                                           "--axis",
                                           "process.injection_pressure_max=20 MPa..80 MPa ratio"};

std::vector<std::string> with_axes(std::vector<std::string> further) {
  further.insert(further.begin(), two_axes.begin(), two_axes.end());
  return further;
}

}  // namespace

// A strip full over the share s of its length takes p = 12 μ s L²/(h² t F), check-values of slits
// with the side walls of a rectangular duct, F = 1 - 192 h/(π⁵ w) tanh(π w/2h) to the first term.
// With a limit of 0.8 P the shortest fill time is t = 12 μ s L²/(0.8 h² F P): a straight line on a
// map of logarithms.
TEST_CASE("the edge of a strip's window is the shortest fill time that the pressure limit allows",
          "[cli][window]") {
  const TemporaryFolder folder;
  folder.file("plain.toml", card_with(newtonian));
  const std::string file = folder.file("a.toml", strip("./plain.toml"));
  const fs::path out = folder.path() / "out";
  const ProgramOutput p =
      run_program(window(file, out,
                         with_axes({"--points", "3", "--halvings", "3", "--shots", "8", "--vary",
                                    "material.viscosity_factor=1..6"})));
  INFO(p.out << p.err);
  REQUIRE(p.exit_code == 0);
  const double pi = std::numbers::pi;
  const double sides =
      1.0 - 192.0 * gap / (std::pow(pi, 5) * width) * std::tanh(pi * width / (2.0 * gap));
  const double exact =
      12.0 * viscosity * switched * length * length / (0.8 * gap * gap * sides) / 1e6;  // [MPa s]
  const json map = json::parse(text_of(out / "window.json"));
  REQUIRE(map["edges"].size() >= 3);
  for (const json& edge : map["edges"]) {
    CHECK(edge["beyond"] == "over_pressure");
    // A mesh of 30 elements along the strip: 0.7 % in pressure (1.7 % with 24, 3 % with 15); what
    // the straight line within a bracket leaves is below 0.5 %.
    CHECK(edge["at"][0].get<double>() * edge["at"][1].get<double>() ==
          Approx(exact).epsilon(0.015));
  }
  // On the map of logarithms u = u0 - v/2; the roomiest circle touches it and two ends of the
  // ranges.
  const double u0 = std::log(exact / 20.0 / 0.1) / std::log(16.0), slope = 0.5;
  CHECK(map["share_of_range_good"].get<double>() == Approx(1.0 - u0 + slope / 2.0).margin(0.02));
  const double norm = std::sqrt(1.0 + slope * slope);
  CHECK(map["best"]["clearance_share_of_range"].get<double>() ==
        Approx((1.0 + slope - u0) / (1.0 + slope + norm)).margin(0.02));
  const json& side = map["best"]["sides"][0];
  CHECK(side["key"] == "process.fill_time");
  CHECK(side["beyond"] == "over_pressure");
  CHECK(side["edge"].get<double>() * map["best"]["at"][1].get<double>() ==
        Approx(exact).epsilon(0.015));
  CHECK(map["best"]["sides"][1]["beyond"].is_null());
  // The pressure goes up in proportion to the factor: good up to where it reaches the limit.
  const double factor =
      map["best"]["at"][0].get<double>() * map["best"]["at"][1].get<double>() / exact;
  const double share = std::clamp((factor - 1.0) / 5.0, 0.0, 1.0);
  REQUIRE((share > 0.2 && share < 0.8));
  CHECK(map["robustness"]["share"].get<double>() == Approx(share).margin(1.0 / 8.0 + 0.01));
  CHECK(map["robustness"]["bad_shots_differ_in"] == json::array({"higher viscosity factor"}));
  CHECK_THAT(p.out, Contains("best: ") && Contains("over pressure below"));
  for (const char* name : {"window.csv", "window.html", "window.png", "window.pdf", "series.csv"})
    CHECK(fs::file_size(out / name) > 100);
  const H5File series = H5File::open(out / "series.h5");
  CHECK(series.read("/axes/process.fill_time").size() == map["runs"].size());
}

TEST_CASE("a power-law strip ends its window where its closed form does", "[cli][window]") {
  // p = (2K/h)((2n+1)/n 2Q/(w h²))ⁿ s L with Q = L w h/t; side walls are left out: they
  // take about 2 % of the pressure, the mesh the rest; the time feels twice that.
  constexpr double K = 15000.0, n = 0.5;
  const TemporaryFolder folder;
  folder.file("thin.toml", card_with(R"(law = "power_law"
viscosity_at_unit_rate = "15000 Pa s"
slope = 0.5
reference_temperature = "220 degC"
temperature_coefficient = "0 1/K"
band = "0 %"
source = "test")"));
  const std::string file = folder.file("a.toml", strip("./thin.toml"));
  const fs::path out = folder.path() / "out";
  const ProgramOutput p =
      run_program(window(file, out, with_axes({"--points", "2", "--shots", "0"})));
  INFO(p.out << p.err);
  REQUIRE(p.exit_code == 0);
  const json map = json::parse(text_of(out / "window.json"));
  int along_time = 0;
  for (const json& edge : map["edges"]) {
    if (edge["good"][1] != edge["bad"][1]) continue;  // along the limit itself: only a bracket
    ++along_time;
    const double pressure = 0.8 * edge["at"][1].get<double>() * 1e6;
    const double rate = std::pow(pressure * gap / (2.0 * K * switched * length), 1.0 / n);
    const double time = (2.0 * n + 1.0) / n * 2.0 * length / (gap * rate);
    CHECK(edge["at"][0].get<double>() == Approx(time).epsilon(0.08));  // 4 % in pressure
  }
  CHECK(along_time > 0);
  CHECK(map["robustness"].is_null());
}

TEST_CASE("a window that was stopped goes on and ends the same", "[cli][window]") {
  const TemporaryFolder folder;
  folder.file("plain.toml", card_with(newtonian));
  const std::string file = folder.file("a.toml", strip("./plain.toml"));
  const fs::path out = folder.path() / "out", whole = folder.path() / "whole";
  std::vector<std::string> arguments = {"window",     file, "-o",       out.string(),
                                        "--jobs",     "1",  "--points", "3",
                                        "--halvings", "0",  "--shots",  "2"};
  arguments.insert(arguments.end(), two_axes.begin(), two_axes.end());
  bool stopped = false;
  const ProgramOutput p = run_program(arguments, [&](int process, const std::string& err) {
    if (!stopped && err.find("lattice") != std::string::npos) {
      kill(process, SIGINT);  // while its first runs go on
      stopped = true;
    }
  });
  INFO(p.out << p.err);
  CHECK(p.exit_code == 130);
  CHECK_THAT(p.err, Contains("--resume"));
  CHECK_FALSE(fs::exists(out / "window.json"));
  CHECK_THAT(run_program(arguments).err, Contains("--resume"));  // not begun anew by accident
  arguments.insert(arguments.end(), {"--resume", "--quiet"});
  CHECK(run_program(arguments).exit_code == 0);
  const auto before = fs::last_write_time(out / "rounds/01/runs/00001/summary.json");
  CHECK(run_program(arguments).exit_code == 0);  // once more: nothing is left to do
  CHECK(fs::last_write_time(out / "rounds/01/runs/00001/summary.json") == before);
  arguments[3] = whole.string();
  CHECK(run_program(arguments).exit_code == 0);
  CHECK(text_of(out / "window.json") == text_of(whole / "window.json"));
}

TEST_CASE("where nothing is good, the window says what is in the way", "[cli][window]") {
  const TemporaryFolder folder;
  folder.file("plain.toml", card_with(newtonian));
  const std::string file = folder.file("a.toml", strip("./plain.toml"));
  const fs::path out = folder.path() / "out";
  std::vector<std::string> arguments =
      window(file, out,
             {"--axis", "process.fill_time=0.1 s..0.2 s", "--axis",
              "process.melt_temperature=200 degC..240 degC", "--points", "2", "--set",
              "process.injection_pressure_max=20 MPa"});
  const ProgramOutput p = run_program(arguments);
  INFO(p.out << p.err);
  CHECK(p.exit_code == 0);
  CHECK_THAT(p.out, Contains("no setting in this range gives a good shot") &&
                        Contains("everywhere: over pressure") && Contains("fullest"));
  CHECK(json::parse(text_of(out / "window.json"))["best"].is_null());
  arguments.insert(arguments.end(), {"--resume", "--strict"});
  CHECK(run_program(arguments).exit_code == 1);
}

TEST_CASE("runs that fail are told with their reasons and lose nothing else", "[cli][window]") {
  const TemporaryFolder folder;
  folder.file("plain.toml", card_with(newtonian));
  const std::string file = folder.file("a.toml", strip("./plain.toml"));
  const std::vector<std::string> melt = {
      "--axis",     "process.melt_temperature=120 degC..220 degC",
      "--axis",     "process.fill_time=0.9 s..1.6 s",
      "--points",   "2",
      "--halvings", "2",
      "--shots",    "0"};
  const fs::path out = folder.path() / "out";
  const ProgramOutput p = run_program(window(file, out, melt));
  INFO(p.out << p.err);
  CHECK(p.exit_code == 0);  // the card is valid from 180 degC
  CHECK_THAT(p.out, Contains("no result below") && Contains("run 1 and"));
  const json map = json::parse(text_of(out / "window.json"));
  CHECK_THAT(map["runs"][0]["reason"].get<std::string>(), Contains("melt_temperature"));
  std::vector<std::string> cold = melt;
  cold[1] = "process.melt_temperature=120 degC..150 degC";
  const ProgramOutput none = run_program(window(file, folder.path() / "none", cold));
  CHECK(none.exit_code == 3);
  CHECK_THAT(none.out, Contains("everywhere: no result") && Contains("run 1 and 1 more"));
  CHECK(fs::exists(folder.path() / "none/window.csv"));
}

TEST_CASE("wrong windows are refused before anything runs", "[cli][window]") {
  const TemporaryFolder folder;
  folder.file("plain.toml", card_with(newtonian));
  const std::string file = folder.file("a.toml", strip("./plain.toml"));
  const fs::path out = folder.path() / "out";
  const auto refused = [&](const std::vector<std::string>& further) {
    const ProgramOutput p = run_program(window(file, out, further));
    CHECK(p.exit_code == 2);
    CHECK_FALSE(fs::exists(out));
    return p.err;
  };
  const std::string time = "process.fill_time=0.3 s..0.6 s", melt =
                                                                 "process.melt_temperature=200 "
                                                                 "degC..240 degC";
  CHECK_THAT(refused({"--axis", time}), Contains("two axes, one is given"));
  CHECK_THAT(refused({"--axis", time, "--axis", time}), Contains("both axes"));
  CHECK_THAT(refused({"--axis", time, "--axis", "process.melt_temprature=200 degC..240 degC"}),
             Contains("\"process.melt_temperature\""));
  CHECK_THAT(refused({"--axis", time, "--axis", "process.melt_temperature=220 degC"}),
             Contains("one value is no axis"));
  CHECK_THAT(refused({"--axis", time, "--axis", "process.injection_speed=5 cm3/s..9 cm3/s"}),
             Contains("injection_speed"));
  CHECK_THAT(
      refused({"--axis", time, "--axis", melt, "--vary", "process.fill_time=0.5 s +- 0.1 s"}),
      Contains("is an axis already"));
  CHECK_THAT(refused({"--axis", time, "--axis", melt, "--set", "process.fill_time=0.5 s"}),
             Contains("is an axis of the window"));
  CHECK_THAT(refused({"--axis", time, "--axis", "layout.gate[nowhere].width=1 mm..2 mm"}),
             Contains("gate"));
}

}  // namespace firstshot::test
