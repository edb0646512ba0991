#include <cmath>
#include <fstream>
#include <map>
#include <numbers>
#include <sstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "mesh/error.hpp"
#include "solver/flow/section_flow.hpp"

using namespace firstshot;

namespace {

constexpr double pi = std::numbers::pi;

double friction_number(const Section& section) { return 16.0 * duct_numbers(section).shape[0]; }

// Power-law ratio b + a/n at one of the solved indices.
double solved_shape(const DuctSolution& solution, double n) {
  for (std::size_t k = 0; k < duct_flow_indices.size(); ++k)
    if (duct_flow_indices[k] == n) return solution.shape[k];
  FAIL("no solved index " << n);
  return 0.0;
}

}  // namespace

TEST_CASE("friction factors of rectangles agree with the exact series",
          "[solver][flow][analytic]") {
  // f Re of Shah & London, Laminar Flow Forced Convection in Ducts (1978), here from the Fourier
  // series.
  const std::vector<std::pair<double, double>> table = {
      {1.0, 14.22708},  {0.9, 14.26098}, {0.75, 14.47570},  {0.5, 15.54806}, {0.4, 16.36810},
      {0.25, 18.23278}, {0.2, 19.07050}, {0.125, 20.58464}, {0.1, 21.16888}, {0.05, 22.47701}};
  for (const auto& [ratio, value] : table) {
    CAPTURE(ratio);
    CHECK(friction_number(RectangleSection{3e-3, 3e-3 * ratio}) == Approx(value).epsilon(1e-4));
    CHECK(friction_number(RectangleSection{3e-3 * ratio, 3e-3}) == Approx(value).epsilon(1e-4));
  }
  CHECK(friction_number(RectangleSection{1e-3, 1.0}) ==
        Approx(24.0).epsilon(2e-3));  // nearly a slit
}

TEST_CASE("friction factors of half round and triangle agree with the exact values",
          "[solver][flow][analytic]") {
  // Shah & London (1978): semicircle 15.7668, equilateral triangle 40/3, right isosceles 13.1526.
  CHECK(friction_number(HalfRoundSection{4e-3}) == Approx(15.7668).epsilon(1e-4));
  CHECK(friction_number(TrapezoidSection{2e-3, std::sqrt(3.0) * 1e-3 * (1 - 1e-6), 30.0}) ==
        Approx(40.0 / 3.0).epsilon(1e-4));
  CHECK(friction_number(TrapezoidSection{2e-3, 1e-3 * (1 - 1e-6), 45.0}) ==
        Approx(13.1526).epsilon(1e-4));
  CHECK(friction_number(RoundSection{4e-3}) == 16.0);
}

TEST_CASE("power-law flow through the sections agrees with another program's elements",
          "[solver][flow][regression]") {
  // b + a/n at n = 1, 0.75, 0.5, 0.35, 0.25 from our own earlier finite elements, a separate
  // program (quadratic triangles): a check on errors of this code, not a measurement. The value for
  // the square at n = 0.5 agrees with published f Re 5.72 (Chandrupatla & Sastri 1977, Syrjälä
  // 1995; from memory).
  struct Row {
    Section section;
    double f_Re, at75, at50, at35, at25;
  };
  const std::vector<Row> rows = {
      {HalfRoundSection{2.0}, 15.7668, 1.04524, 1.15989, 1.29683, 1.46154},
      {TrapezoidSection{1.0, 1.0, 5.0}, 14.2418, .93679, 1.02302, 1.11978, 1.22610},
      {TrapezoidSection{1.0, 1.0, 10.0}, 14.3009, .93966, 1.02426, 1.11880, 1.22194},
      {TrapezoidSection{1.25, 1.0, 10.0}, 14.1890, .93237, 1.01615, 1.10942, 1.21068},
      {TrapezoidSection{1.25, 1.0, 20.0}, 14.1063, .92292, .99772, 1.07863, 1.16234},
      {TrapezoidSection{2.0, 1.0, 10.0}, 15.1634, .99751, 1.09045, 1.19644, 1.31543},
      {RectangleSection{1.0, 1.0}, 14.2271, .93615, 1.02295, 1.12047, 1.22786},
      {RectangleSection{1.0, 2.0}, 15.5481, 1.02482, 1.12449, 1.23969, 1.37178},
      {RectangleSection{4.0, 1.0}, 18.2328, 1.21744, 1.36198, 1.53166, 1.73556},
      {RectangleSection{10.0, 1.0}, 21.1688, 1.44201, 1.66881, 1.94253, 2.28363}};
  for (const Row& row : rows) {
    CAPTURE(row.f_Re);
    const DuctSolution found = solve_duct(row.section);
    CHECK(16.0 * found.shape[0] == Approx(row.f_Re).epsilon(1e-4));
    CHECK(solved_shape(found, 0.75) == Approx(row.at75).epsilon(2e-4));
    CHECK(solved_shape(found, 0.5) == Approx(row.at50).epsilon(3e-4));
    CHECK(solved_shape(found, 0.35) == Approx(row.at35).epsilon(6e-4));
    CHECK(solved_shape(found, 0.25) == Approx(row.at25).epsilon(1e-3));
  }
}

TEST_CASE("power-law flow agrees with an independent finite element program",
          "[solver][flow][reference]") {
  const std::map<std::string, Section> sections = {
      {"square", RectangleSection{1.0, 1.0}},
      {"oblong_2_to_1", RectangleSection{2.0, 1.0}},
      {"oblong_4_to_1", RectangleSection{4.0, 1.0}},
      {"oblong_10_to_1", RectangleSection{10.0, 1.0}},
      {"half_round", HalfRoundSection{2.0}},
      {"trapezoid_1.25_10deg", TrapezoidSection{1.25, 1.0, 10.0}},
      {"round", RoundSection{2.0}}};
  std::ifstream file(std::string(FIRSTSHOT_SOURCE_DIR) +
                     "/tests/verify/reference/duct_power_law.csv");
  std::string line;
  int rows = 0;
  while (std::getline(file, line)) {
    if (line.empty() || line[0] == '#' || line.starts_with("section")) continue;
    std::istringstream cells(line);
    std::string name, n, shape, eigenvalue;
    std::getline(cells, name, ',');
    std::getline(cells, n, ',');
    std::getline(cells, shape, ',');
    std::getline(cells, eigenvalue, ',');
    CAPTURE(name, n);
    const SectionFlow flow(sections.at(name));
    CHECK(flow.shape(std::stod(n)) == Approx(std::stod(shape)).epsilon(5e-3));
    CHECK(flow.thermal_diameter() ==
          Approx(4.8097 / std::sqrt(std::stod(eigenvalue))).epsilon(2e-3));
    ++rows;
  }
  CHECK(rows == 21);
}

TEST_CASE("a round section is exact at every flow index", "[solver][flow][analytic]") {
  const SectionFlow flow(RoundSection{4e-3});
  for (const double n : {1.0, 0.9, 0.6, 0.3, 0.2, 0.15, 0.1, 0.05})
    CHECK(flow.shape(n) == Approx(0.75 + 0.25 / n).epsilon(1e-12));
  CHECK(flow.thermal_diameter() == Approx(4e-3));
  CHECK(flow.hydraulic_diameter() == Approx(4e-3));
  CHECK(flow.area() == Approx(pi * 4e-6));
}

TEST_CASE("a wide slit tends to the flow between plates at every flow index",
          "[solver][flow][limit]") {
  // Plates: b + a/n = 1 + 1/(2n). The ends of a 1000 : 1 slit are felt a little.
  const SectionFlow flow(RectangleSection{1.0, 1e-3});
  for (const double n : {1.0, 0.6, 0.3, 0.2})
    CHECK(flow.shape(n) == Approx(1.0 + 0.5 / n).epsilon(3e-3));
}

TEST_CASE("the slowest cooling mode has the exact eigenvalue", "[solver][flow][analytic]") {
  CHECK(solve_duct(RectangleSection{2.0, 1.0}).eigenvalue == Approx(pi * pi * 1.25).epsilon(1e-4));
  CHECK(solve_duct(RectangleSection{1.0, 10.0}).eigenvalue == Approx(pi * pi * 1.01).epsilon(1e-4));
  const double j11 = 3.8317059702075125;  // first zero of J1
  CHECK(solve_duct(HalfRoundSection{2.0}).eigenvalue == Approx(j11 * j11).epsilon(1e-4));
  const double side = 2e-3;  // equilateral triangle: 16 π²/(3 side²) (Lamé)
  CHECK(solve_duct(TrapezoidSection{side, std::sqrt(3.0) * 1e-3 * (1 - 1e-6), 30.0}).eigenvalue ==
        Approx(16.0 * pi * pi / (3.0 * side * side)).epsilon(2e-4));
  CHECK(SectionFlow(RectangleSection{3e-3, 3e-3}).thermal_diameter() ==
        Approx(2.0 * 2.404825557695773 * 3e-3 / (pi * std::sqrt(2.0))).epsilon(1e-4));
}

TEST_CASE("the Newtonian flow rate converges with the fourth power of the element size",
          "[solver][flow][order]") {
  const auto error = [](double fineness) {
    const double exact = 14.227078;  // f Re of the square, Fourier series
    return std::abs(16.0 * solve_duct(RectangleSection{1.0, 1.0}, fineness).shape[0] - exact);
  };
  // Elements of a refined grid are not exactly half as large: an order of 3 is asked for.
  CHECK(error(2.0) < error(1.0) / 8.0);
  CHECK(error(1.0) < 14.227 * 1e-4);
}

TEST_CASE("the table of shapes mixes neighbours within 0.1 % for sections that are cut",
          "[solver][flow]") {
  SectionFlowTable table;
  const std::vector<Section> sections = {RectangleSection{1.7e-3, 0.6e-3},
                                         RectangleSection{0.93e-3, 0.8e-3},
                                         TrapezoidSection{4.3e-3, 3.4e-3, 7.0},
                                         TrapezoidSection{5.1e-3, 3.0e-3, 13.0},
                                         HalfRoundSection{3.7e-3},
                                         RoundSection{3.7e-3}};
  for (const Section& section : sections) {
    CAPTURE(kind_name(section));
    const SectionFlow own(section);
    const SectionFlow mixed(section, table);
    for (const double n : {1.0, 0.5, 0.25})
      CHECK(mixed.shape(n) == Approx(own.shape(n)).epsilon(1e-3));
    CHECK(mixed.thermal_diameter() == Approx(own.thermal_diameter()).epsilon(1e-3));
  }
  // The same proportions in another size need no new solve.
  const std::size_t solved = table.solved();
  const SectionFlow small(TrapezoidSection{4.3e-3, 3.4e-3, 7.0}, table);
  const SectionFlow large(TrapezoidSection{8.6e-3, 6.8e-3, 7.0}, table);
  CHECK(table.solved() == solved);
  CHECK(large.shape(0.4) == Approx(small.shape(0.4)).epsilon(1e-12));
  CHECK(large.thermal_diameter() == Approx(2.0 * small.thermal_diameter()).epsilon(1e-12));
}

TEST_CASE("a section without area is refused", "[solver][flow]") {
  CHECK_THROWS_AS(SectionFlow(RectangleSection{0.0, 1e-3}), Error);
  CHECK_THROWS_AS(SectionFlow(RoundSection{0.0}), Error);
  SectionFlowTable table;
  CHECK_THROWS_AS(table.numbers(TrapezoidSection{1e-3, 1e-2, 30.0}), Error);
}
