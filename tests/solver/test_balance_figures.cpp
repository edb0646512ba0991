#include <vector>

#include <catch2/catch.hpp>

#include "solver/assess/balance_figures.hpp"

using namespace firstshot;

TEST_CASE("a part lies on the side where its centre is farther away", "[solver][assess]") {
  const Point injection{0.01, 0.02};
  CHECK(side_of({0.00, 0.02}, injection) == Side::left);
  CHECK(side_of({0.05, 0.04}, injection) == Side::right);
  CHECK(side_of({0.02, 0.04}, injection) == Side::top);
  CHECK(side_of({0.00, 0.00}, injection) == Side::bottom);
}

TEST_CASE("equal distances along x and y count as x, and the injection point has no side",
          "[solver][assess][limit]") {
  CHECK(side_of({-1.0, 1.0}, {0.0, 0.0}) == Side::left);
  CHECK(side_of({1.0, 1.0}, {0.0, 0.0}) == Side::right);
  CHECK_FALSE(side_of({1.0, 1.0}, {1.0, 1.0}));
}

TEST_CASE("the spread of fill times is last minus first, and unknown while a cavity is not full",
          "[solver][assess]") {
  CHECK(fill_time_spread(std::vector<double>{0.5, 0.25, 0.375}) == 0.25);
  CHECK(fill_time_spread(std::vector<double>{0.5, 0.5}) == 0.0);
  CHECK_FALSE(fill_time_spread(std::vector<double>{0.5, -1.0}));
  CHECK_FALSE(fill_time_spread(std::vector<double>{0.5}));
  CHECK_FALSE(fill_time_spread({}));
}

TEST_CASE("the time of a volume lies where the pieces have brought it",
          "[solver][assess][analytic]") {
  // By hand: 2 m³ from 0 to 2 s, 6 m³ from 1 to 4 s, 1 m³ at 3 s.
  const std::vector<FillingPiece> pieces = {{0.0, 2.0, 2.0}, {1.0, 4.0, 6.0}, {3.0, 3.0, 1.0}};
  CHECK(time_of_volume(pieces, 1.0) == Approx(1.0));
  CHECK(time_of_volume(pieces, 4.0) == Approx(2.0));  // 2 + 2
  CHECK(time_of_volume(pieces, 5.0) == Approx(2.5));  // 2 + 3
  CHECK(time_of_volume(pieces, 6.5) == Approx(3.0));  // the piece that came at once
  CHECK(time_of_volume(pieces, 8.0) == Approx(3.5));
  CHECK(time_of_volume(pieces, 9.0) == Approx(4.0));
  CHECK(time_of_volume(pieces, 9.1) == -1.0);
}

TEST_CASE("pressure follows the viscosity within its band, up to the limit of the press",
          "[solver][assess]") {
  const ForecastRange free = viscosity_range(80e6, 0.25, 0.0);
  CHECK(free.low == Approx(60e6));
  CHECK(free.high == Approx(100e6));
  CHECK(viscosity_range(80e6, 0.25, 90e6).high == 90e6);
  CHECK(viscosity_range(80e6, 0.25, 80e6).high == 80e6);
  CHECK(viscosity_range(80e6, 1.5, 0.0).low == 0.0);
}

TEST_CASE("a pressure above the limit stays inside its own range", "[solver][assess][limit]") {
  const ForecastRange range = viscosity_range(80e6, 0.25, 79e6);
  CHECK(range.low < 80e6);
  CHECK(range.high == 80e6);
}
