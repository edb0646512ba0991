#include <cmath>

#include <catch2/catch.hpp>

#include "io/window_plan.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/sample_run.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;

std::string wrong_axis(const std::string& text) {
  return sample::error_of([&] { window_axis_from(text); });
}
std::string wrong_spread(const std::string& text) {
  return sample::error_of([&] { varied_from(text); });
}

}  // namespace

TEST_CASE("an axis knows the place of each value in the unit in which it was written",
          "[io][window]") {
  const WindowAxis melt = window_axis_from("process.melt_temperature=200 degC..240 degC:7");
  CHECK(melt.unit() == "degC");
  CHECK(melt.points() == 7);
  CHECK(melt.number("220 degC") == Approx(220.0));
  CHECK(melt.number("493.15 K") == Approx(220.0));
  CHECK(melt.share("210 degC") == Approx(0.25));
  CHECK(melt.share(melt.value(0.37)) == Approx(0.37));
  CHECK(melt.handy_value(0.374) == "215 degC");
  CHECK(melt.ticks() == std::vector<double>{200, 205, 210, 215, 220, 225, 230, 235, 240});
  const WindowAxis time = window_axis_from("process.fill_time=0.2 s..1.8 s ratio");
  CHECK(time.share("0.6 s") == Approx(0.5));
  CHECK(time.number(time.value(0.5)) == Approx(0.6));
  CHECK(time.ticks().size() == 3);  // 0.2, 0.5, 1
  // A handy value stays within a hundredth of the range and within its ends.
  for (const double share : {0.0, 0.013, 0.49, 0.77, 1.0})
    CHECK(time.share(time.handy_value(share)) == Approx(share).margin(0.011));
  const WindowAxis bare = window_axis_from("material.viscosity_factor=0.5..2");
  CHECK(bare.unit().empty());
  CHECK(bare.share("1.25") == Approx(0.5));
}

TEST_CASE("what is no axis of a window is refused with what is allowed", "[io][window]") {
  CHECK_THAT(wrong_axis("process.fill_time=0.5 s"),
             Contains("one value is no axis") && Contains("process.fill_time=FROM..TO"));
  CHECK_THAT(wrong_axis("process.fill_time=0.5 s, 0.6 s"), Contains("nothing in between"));
  CHECK_THAT(wrong_axis("process.fil_time=0.5 s..1 s"), Contains("\"process.fill_time\""));
  CHECK_THAT(wrong_axis("accuracy.layers=5..9"), Contains("gradually"));
  CHECK_THAT(wrong_axis("process.fill_time=1 s..0.5 s"), Contains("above its start"));
  CHECK_THAT(wrong_axis("process.fill_time=1 s..5 mm"), Contains("process.fill_time"));
}

TEST_CASE("the usual axes follow the case: its melt, and what its speed is given by",
          "[io][window]") {
  Material card = plain_cards().material;  // melt 180 to 280 degC
  Case c = read_case_text(disc_case(), "case.toml", "");
  c.process.melt_temperature = 273.15 + 270.0;
  auto axes = usual_axes(c, card);
  REQUIRE(axes.size() == 2);
  CHECK(axes[0].number(axes[0].range().from) == Approx(240.0));
  CHECK(axes[0].number(axes[0].range().to) == Approx(280.0));  // the card ends there
  CHECK(axes[1].key() == "process.fill_time");
  CHECK(axes[1].share("0.8 s") == Approx(0.5));  // the case has 0.8 s
  c.process.fill_time.reset();
  c.process.speed_profile = {{0.0, 40e-6}, {0.5, 20e-6}};
  axes = usual_axes(c, card);
  CHECK(axes[1].key() == "process.injection_speed");
  // Half of the volume at 40, half at 20 cm3/s: as long as at 26.67 cm3/s.
  CHECK(axes[1].number(axes[1].value(0.5)) == Approx(80.0 / 3.0));
  c.process.melt_temperature = 700.0;
  CHECK_THROWS_AS(usual_axes(c, card), Error);
}

TEST_CASE("a spread is even over its range, or normal and cut off at three deviations",
          "[io][window]") {
  const VariedKey even = varied_from("material.regrind=0 %..20 %");
  CHECK(override_number({"material.regrind", even.value(0.25)}) == Approx(0.05));
  CHECK(even.spread() == "0 % to 20 %, evenly");
  const VariedKey normal = varied_from("material.viscosity_factor=1 +- 0.05");
  CHECK(normal.spread() == "1 +- 0.05");
  const auto factor = [&](double u) { return std::stod(normal.value(u)); };
  CHECK(factor(0.5) == Approx(1.0));
  // Below one deviation lie 84.134 % of a normal spread; the cut takes 0.135 % off each end.
  CHECK(factor((0.841344746 - 0.00134989803) / (1.0 - 2 * 0.00134989803)) == Approx(1.05));
  CHECK(factor(1e-9) == Approx(0.85).margin(1e-6));
  CHECK(factor(1.0 - 1e-9) == Approx(1.15).margin(1e-6));
  double mean = 0.0, square = 0.0;
  constexpr int n = 2000;
  for (int i = 0; i < n; ++i) {
    const double x = (factor((i + 0.5) / n) - 1.0) / 0.05;
    mean += x / n;
    square += x * x / n;
  }
  CHECK(mean == Approx(0.0).margin(1e-6));
  // Variance of a normal spread cut at c: 1 - 2 c φ(c)/(1 - 2 Φ(-c)) = 0.97334 at c = 3.
  CHECK(square == Approx(0.97334).epsilon(2e-3));
  const VariedKey mould = varied_from("process.mould_temperature=40 degC +- 2 K");
  CHECK(override_number({"process.mould_temperature", mould.value(0.5)}) == Approx(313.15));
  CHECK(mould.deviation == Approx(2.0));
  CHECK(mould.spread() == "40 degC +- 2 K");
}

TEST_CASE("what is no spread is refused with what is allowed", "[io][window]") {
  CHECK_THAT(wrong_spread("material.regrind"), Contains("KEY="));
  CHECK_THAT(wrong_spread("material.regrind=5 %"), Contains("one value"));
  CHECK_THAT(wrong_spread("material.viscosity_factor=1 +- 0"), Contains("above 0"));
  CHECK_THAT(wrong_spread("material.viscosity_factor=1 +- wide"), Contains("standard deviation"));
  CHECK_THAT(wrong_spread("process.mould_temperature=40 degC +- 2 mm"), Contains("2 mm"));
  CHECK_THAT(wrong_spread("material.regrind=5 % +- 3 %"), Contains("material.regrind"));  // below 0
  CHECK_THAT(wrong_spread("+- 3 %"), Contains("KEY=MEAN +- SD"));
}

TEST_CASE("by default the lot, the regrind and the mould vary", "[io][window]") {
  Case c = read_case_text(disc_case(), "case.toml", "");
  const auto keys = [&] {
    std::vector<std::string> out;
    for (const VariedKey& v : usual_variation(c)) out.push_back(v.range.key);
    return out;
  };
  CHECK(keys() == std::vector<std::string>{"material.viscosity_factor", "material.regrind",
                                           "process.mould_temperature"});
  c.process.mould_temperature_moving += 5.0;
  CHECK(keys().back() == "process.mould_temperature.moving");
  c.mould.fixed = c.mould.moving = MouldChannels{};
  CHECK(keys().back() == "mould.channel.coolant_temperature");
}

}  // namespace firstshot::test
