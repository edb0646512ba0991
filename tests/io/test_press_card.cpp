#include <filesystem>
#include <numbers>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "io/case_error.hpp"
#include "io/press_card.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;

namespace {

std::vector<std::string> card_names(const std::filesystem::path& folder) {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    names.push_back(entry.path().stem().string());
  return names;
}

const std::filesystem::path presses = std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases/presses";

const std::string card = R"(name = "trial"
screw_diameter = "25 mm"
stroke_max = "100 mm"
speed_max = "100 mm/s"
melt_pressure_max = "160 MPa"
intensification = 10
clamp_force = "400 kN"
nozzle_volume = "4 cm3"
dry_cycle = "1.8 s"
plasticising_rate = "8 g/s"
source = "test"
)";

}  // namespace

TEST_CASE("every press card that comes with the program is valid and plausible", "[io][card]") {
  const auto names = card_names(presses);
  CHECK(names.size() >= 2);
  for (const std::string& name : names) {
    CAPTURE(name);
    const Press p = read_press_card(presses / (name + ".toml"));
    CHECK_FALSE(p.name.empty());
    // Stroke 1 to 4 screw diameters, intensification 8 to 15, melt pressure 150 to 250 MPa: common
    // practice (from memory, unconfirmed).
    CHECK(p.stroke_max / p.screw_diameter <= 4.0);
    CHECK(p.stroke_max / p.screw_diameter >= 1.0);
    CHECK(p.intensification >= 8.0);
    CHECK(p.intensification <= 15.0);
    CHECK(p.melt_pressure_max >= 150e6);
    CHECK(p.melt_pressure_max <= 250e6);
    const double shot = std::numbers::pi / 4.0 * p.screw_diameter * p.screw_diameter * p.stroke_max;
    CHECK(p.nozzle_volume < 0.2 * shot);
  }
  const Press big = read_press_card(presses / "press-60t.toml");
  CHECK(big.clamp_force == 600e3);
  CHECK(std::numbers::pi / 4.0 * big.screw_diameter * big.screw_diameter * big.stroke_max ==
        Approx(84.8e-6).epsilon(1e-3));
}

TEST_CASE("a press card is read in SI units", "[io][card]") {
  const Press p = read_press_card(TomlFile::parse(card, "trial.toml"));
  CHECK(p.name == "trial");
  CHECK(p.screw_diameter == 25e-3);
  CHECK(p.stroke_max == 100e-3);
  CHECK(p.speed_max == 100e-3);
  CHECK(p.melt_pressure_max == 160e6);
  CHECK(p.intensification == 10.0);
  CHECK(p.clamp_force == 400e3);
  CHECK(p.nozzle_volume == 4e-6);
  CHECK(p.dry_cycle == 1.8);
  CHECK(p.plasticising_rate == 8e-3);
}

TEST_CASE("a press card with a wrong, missing or unknown key is refused", "[io][card]") {
  const auto parsed = [](std::string text, const std::string& from, const std::string& to) {
    text.replace(text.find(from), from.size(), to);
    return read_press_card(TomlFile::parse(text, "trial.toml"));
  };
  CHECK_THROWS_WITH(parsed(card, "clamp_force", "clmp_force"), Contains("clamp_force"));
  CHECK_THROWS_WITH(parsed(card, "source", "tie_bars = 4\nsource"), Contains("tie_bars"));
  CHECK_THROWS_WITH(parsed(card, "\"25 mm\"", "25"), Contains("bare number"));
  CHECK_THROWS_WITH(parsed(card, "\"160 MPa\"", "\"160 GPa\""), Contains("out of range"));
  CHECK_THROWS_WITH(parsed(card, "source = \"test\"\n", ""), Contains("source"));
}
