// Calibration as a user starts it. The trials are runs of another viscosity law on a finer mesh,
// with noise.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <signal.h>

#include "io/material_card.hpp"
#include "tests/cli/quick_case.hpp"
#include "tests/cli/run_program.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;
using Json = nlohmann::json;
namespace fs = std::filesystem;

std::string text_of(const fs::path& file) {
  std::ostringstream text;
  text << std::ifstream(file).rdbuf();
  return text.str();
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  REQUIRE(text.find(from) != std::string::npos);
  return text.replace(text.find(from), from.size(), to);
}

/// hips-8 with another law: Arrhenius, and thinning from half the stress on, fitted to 1.35 times
/// the viscosity of the card between 30 and 8000 1/s and 200 and 250 degC; rms 7 %.
std::string other_card() {
  std::string card = text_of(std::string(FIRSTSHOT_SOURCE_DIR) + "/cases/materials/hips-8.toml");
  const std::size_t from = card.find("[viscosity]"), to = card.find("[thermal]");
  return card.substr(0, from) + R"([viscosity]
law = "cross_exponential"
slope = 0.276116
stress_at_thinning = "32 kPa"
reference_viscosity = "1.749540e-9 Pa s"
activation_temperature = "13833.217 K"
pressure_coefficient = "2.8e-8 1/Pa"
band = "10 %"
source = "invented"
)" + card.substr(to);
}

/// Peak pressures [MPa] of a strip of that melt at three fill times.
std::vector<double> true_pressures(const TemporaryFolder& folder) {
  folder.file("other.toml", other_card());
  std::string fine = replaced(quick_case(), "card = \"hips-8\"", "card = \"./other.toml\"");
  fine = replaced(fine, "element_size = \"4 mm\"", "element_size = \"1.5 mm\"");
  fine = replaced(fine, "layers = 4\nvolume_steps = 10", "layers = 12\nvolume_steps = 40");
  const std::string file = folder.file("true.toml", fine);
  const fs::path out = folder.path() / "true";
  const ProgramOutput p = run_program({"sweep", file, "-o", out.string(), "--quiet", "--axis",
                                       "process.fill_time=0.2 s, 0.5 s, 1.2 s"});
  INFO(p.err);
  REQUIRE(p.exit_code == 0);
  std::vector<double> pressures;
  for (int run = 1; run <= 3; ++run)
    pressures.push_back(Json::parse(text_of(out / "runs" / ("0000" + std::to_string(run)) /
                                            "summary.json"))["fill"]["peak_pressure_MPa"]);
  return pressures;
}

struct Trial {
  std::string case_file, table;
};

Trial trial_in(const TemporaryFolder& folder) {
  const std::vector<double> p = true_pressures(folder);
  std::ostringstream table;
  table << "shot,fill_time [s],peak_pressure [MPa],short_parts\n"
        << "1,0.2," << 1.02 * p[0] << ",none\n2,0.2," << 0.99 * p[0] << ",none\n"
        << "3,0.5," << 0.98 * p[1] << ",none\n4,1.2," << 1.01 * p[2] << ",none\n";
  return {folder.file("a.toml", quick_case()), folder.file("trials.csv", table.str())};
}

std::vector<std::string> calibrate(const Trial& trial, const fs::path& out,
                                   std::vector<std::string> further = {}) {
  std::vector<std::string> all = {"calibrate", trial.case_file, trial.table, "-o", out.string()};
  all.insert(all.end(), further.begin(), further.end());
  return all;
}

const std::vector<std::string> two_factors = {"--factor", "viscosity_factor", "--factor",
                                              "contact_conductance"};

}  // namespace

TEST_CASE("calibrate finds the factor of trials that another law and a finer mesh made",
          "[cli][calibrate]") {
  const TemporaryFolder folder;
  const Trial trial = trial_in(folder);
  const fs::path out = folder.path() / "out";
  auto arguments = two_factors;
  arguments.insert(arguments.end(), {"--json", "--card", "shop-hips"});
  const ProgramOutput p = run_program(calibrate(trial, out, arguments));
  INFO(p.out << p.err);
  REQUIRE(p.exit_code == 0);
  const Json found = Json::parse(p.out);
  CHECK(found == Json::parse(text_of(out / "calibrate.json")));
  CHECK(found["converged"] == true);
  CHECK(found["shots"] == 4);
  CHECK(found["settings"].size() == 3);
  const Json& factor = found["factors"][0];
  CHECK(factor["low_si"] < 1.35);
  CHECK(factor["high_si"] > 1.35);
  CHECK(factor["told"] != "not_told");
  CHECK(factor["doubt_left"] < 0.6);
  for (const Json& item : found["comparison"])
    if (item["kind"] == "number") CHECK(std::abs(item["misfit"].get<double>()) < 2.0);

  // The card: the factor in the law, the trial as its source.
  const Material base =
      read_material_card(std::string(FIRSTSHOT_SOURCE_DIR) + "/cases/materials/hips-8.toml");
  const Material card = read_material_card(out / "shop-hips.toml");
  CHECK(card.name == "shop-hips");
  CHECK(zero_shear_viscosity(card.viscosity, 493.15, 0.0) /
            zero_shear_viscosity(base.viscosity, 493.15, 0.0) ==
        Approx(factor["after_si"].get<double>()).epsilon(1e-6));
  CHECK(card.viscosity_band < base.viscosity_band);
  CHECK_THAT(text_of(out / "shop-hips.toml"), Contains("calibrated from 4 trial shots"));
  CHECK_THAT(text_of(out / "forecast.csv"), Contains("peak pressure,MPa,"));
  CHECK_THAT(text_of(out / "report.html"), Contains("\"calibration\":{\"schema_version\":1"));
  CHECK_THAT(text_of(out / "case.resolved.toml"), Contains("material.resolved.toml"));

  // The new case and card forecast what the factors do: the run after against the table, whose
  // setting of 0.5 s is the case's.
  const Json after = Json::parse(text_of(out / "after/summary.json"));
  for (const Json& item : found["comparison"])
    if (item["setting"] == 2 && item["kind"] == "number")
      CHECK(after["fill"]["peak_pressure_MPa"].get<double>() ==
            Approx(item["after"].get<double>()).epsilon(1e-4));

  // Again: only with --resume, and then nothing is run twice.
  CHECK_THAT(run_program(calibrate(trial, out, arguments)).err, Contains("--resume"));
  const auto first = out / "rounds/01/runs/00001/summary.json";
  const auto before = fs::last_write_time(first);
  auto resumed = two_factors;
  resumed.emplace_back("--resume");
  const ProgramOutput again = run_program(calibrate(trial, out, resumed));
  INFO(again.err);
  CHECK(again.exit_code == 0);
  CHECK(fs::last_write_time(first) == before);
  CHECK_THAT(again.out, Contains("viscosity factor") && Contains("4 shots at 3 settings") &&
                            Contains("peak pressure") && Contains("fill time 0.2 s (2 shots)"));

  // A run that failed: said with its shot and reason.
  fs::remove(first);
  std::ofstream(first.parent_path() / "failed.txt") << "the front did not settle";
  const ProgramOutput failed = run_program(calibrate(trial, out, resumed));
  CHECK(failed.exit_code == 3);
  CHECK_THAT(failed.err, Contains("1: the front did not settle") && Contains("rounds"));
}

TEST_CASE("calibrate finds how far the vents are from what was drawn", "[cli][calibrate]") {
  // The trial: a finer mesh, and a vent of 7.2 um where 12 um were drawn.
  const TemporaryFolder folder;
  const std::string drawn = quick_case() +
                            "[air]\nparting_line_gap = \"0 um\"\n[[vent]]\nat = [[40, 0]]\n"
                            "width = \"2 mm\"\ndepth = \"12 um\"\n";
  std::string real = replaced(drawn, "depth = \"12 um\"", "depth = \"7.2 um\"");
  real = replaced(real, "element_size = \"4 mm\"", "element_size = \"2 mm\"");
  const fs::path shots = folder.path() / "shots";
  REQUIRE(run_program({"sweep", folder.file("real.toml", real), "-o", shots.string(), "--quiet",
                       "--axis", "process.fill_time=0.04 s, 0.1 s, 0.3 s, 0.8 s"})
              .exit_code == 0);
  std::string table = "fill_time [s],peak_pressure [MPa],peak_pressure_scatter [MPa]\n";
  for (const auto& [run, time] :
       {std::pair("00001", "0.04"), {"00002", "0.1"}, {"00003", "0.3"}, {"00004", "0.8"}}) {
    const Json summary = Json::parse(text_of(shots / "runs" / run / "summary.json"));
    table += std::string(time) + "," + summary["fill"]["peak_pressure_MPa"].dump() + ",0.2\n";
  }
  const Trial trial{folder.file("a.toml", drawn), folder.file("t.csv", table)};
  const fs::path out = folder.path() / "out";
  const ProgramOutput p = run_program(calibrate(
      trial, out, {"--json", "--factor", "viscosity_factor", "--factor", "vent_depth_factor"}));
  INFO(p.out << p.err);
  REQUIRE(p.exit_code == 0);
  const Json found = Json::parse(p.out);
  const Json& vent = found["factors"][1];
  CHECK(vent["name"] == "vent_depth_factor");
  CHECK(vent["low_si"] < 0.6);
  CHECK(vent["high_si"] > 0.6);
  CHECK(vent["high_si"] < 1.0);
  CHECK(vent["told"] != "not_told");
  // The new case has it: its vents stay as drawn.
  CHECK_THAT(text_of(out / "case.resolved.toml"), Contains("vent_depth_factor = 0."));
  // Without vents there is nothing to ask for.
  const Trial without{folder.file("b.toml", quick_case()), trial.table};
  CHECK_THAT(
      run_program(calibrate(without, folder.path() / "none", {"--factor", "vent_depth_factor"}))
          .err,
      Contains("vent_depth_factor cannot be calibrated: this case has no vents"));
}

TEST_CASE("a calibration that was stopped goes on to the same answer", "[cli][calibrate]") {
  const TemporaryFolder folder;
  const Trial trial{folder.file("a.toml", quick_case()),
                    folder.file("t.csv", "fill_time [s],peak_pressure [MPa]\n0.2,9\n0.5,8\n")};
  std::vector<std::string> one = {"--factor", "viscosity_factor", "--jobs", "1"};
  const fs::path out = folder.path() / "out", whole = folder.path() / "whole";
  bool stopped = false;
  const ProgramOutput p =
      run_program(calibrate(trial, out, one), [&](int process, const std::string& err) {
        if (!stopped && err.find("round 2") != std::string::npos) {
          kill(process, SIGINT);
          stopped = true;
        }
      });
  INFO(p.out << p.err);
  CHECK(p.exit_code == 130);
  CHECK_THAT(p.err, Contains("--resume"));
  CHECK_FALSE(fs::exists(out / "calibrate.json"));
  one.emplace_back("--quiet");
  CHECK(run_program(calibrate(trial, whole, one)).exit_code == 0);
  one.emplace_back("--resume");
  CHECK(run_program(calibrate(trial, out, one)).exit_code == 0);
  CHECK(Json::parse(text_of(out / "calibrate.json"))["factors"] ==
        Json::parse(text_of(whole / "calibrate.json"))["factors"]);
}

TEST_CASE("wrong trials are refused before anything runs", "[cli][calibrate]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", quick_case());
  const fs::path out = folder.path() / "out";
  const auto refusal = [&](const std::string& table, std::vector<std::string> further = {}) {
    const Trial trial{file, folder.file("t.csv", table)};
    const ProgramOutput p = run_program(calibrate(trial, out, std::move(further)));
    CHECK(p.exit_code == 2);
    CHECK_FALSE(fs::exists(out / "rounds"));
    CHECK_FALSE(fs::exists(out / "calibrate.json"));
    return p.err;
  };
  const std::string head = "melt_temperature [degC],peak_pressure [MPa]\n";
  // hips-8 may be as cold as 180 degC.
  CHECK_THAT(refusal(head + "220,8\n150,9\n"),
             Contains("t.csv:3:1") && Contains("valid range of the material card"));
  CHECK_THAT(refusal("material.viscosity_factor,peak_pressure [MPa]\n1,8\n"),
             Contains("t.csv:1:1") && Contains("is to be calibrated"));
  CHECK_THAT(refusal("melt_temprature [degC],peak_pressure [MPa]\n220,8\n"),
             Contains("t.csv:1:1") && Contains("melt_temperature"));
  CHECK_THAT(refusal(head + "220,8\n", {"--factor", "viscosity"}), Contains("viscosity_factor"));
  CHECK_THAT(refusal(head), Contains("no row"));
  CHECK_THAT(run_program(calibrate({file, (folder.path() / "none.csv").string()}, out)).err,
             Contains("none.csv") && Contains("no such file"));
}

}  // namespace firstshot::test
