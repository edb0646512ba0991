#include "io/window_plan.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

#include "solver/numeric/latin_hypercube.hpp"

namespace firstshot {
namespace {

constexpr double cut_off = 3.0;                   // of a normal spread, in deviations
constexpr double share_below = 0.00134989803163;  // of a normal spread below -3 deviations

[[noreturn]] void refuse(const std::string& key, const std::string& what) {
  throw Error(fmt::format("axis {}: {}", key, what));
}

/// "degC" of "220 degC".
std::string unit_of(const std::string& written) {
  char* end = nullptr;
  (void)std::strtod(written.c_str(), &end);
  std::string unit = end;
  unit.erase(0, unit.find_first_not_of(" \t"));
  return unit;
}

/// A number [SI] in a unit; units may have a zero of their own.
double in_unit(double value, const std::string& unit, Dimension dim) {
  const double zero = convert_quantity(0.0, unit, dim);
  return (value - zero) / (convert_quantity(1.0, unit, dim) - zero);
}

/// Largest of 1, 2, 5 times a power of ten that is not above `size`.
double round_step(double size) {
  const double power = std::pow(10.0, std::floor(std::log10(size)));
  for (const double factor : {5.0, 2.0})
    if (factor * power <= size) return factor * power;
  return power;
}

bool is_gradual(const KeySpec& spec) {
  return spec.kind == ValueKind::quantity || spec.kind == ValueKind::number;
}

SweepAxis range_of(const std::string& key, double low, double high, AxisSpacing spacing) {
  const KeySpec& spec = override_spec(key);
  SweepAxis axis;
  axis.key = key;
  axis.from = written_value(spec, low);
  axis.to = written_value(spec, high);
  axis.spacing = spacing;
  return axis;
}

/// From a third to three times.
WindowAxis times_three(const std::string& key, double value) {
  constexpr double factor = 3.0;
  return WindowAxis(range_of(key, value / factor, value * factor, AxisSpacing::ratio));
}

/// One speed that fills in the same time as a profile [m³/s].
double mean_speed(const std::vector<SpeedStep>& profile) {
  double time = 0.0;  // per volume
  for (std::size_t i = 0; i < profile.size(); ++i) {
    const double end = i + 1 < profile.size() ? profile[i + 1].from_share : 1.0;
    time += (end - profile[i].from_share) / profile[i].flow_rate;
  }
  return 1.0 / time;
}

WindowAxis speed_axis(const CaseProcess& process) {
  if (process.fill_time) return times_three("process.fill_time", *process.fill_time);
  if (process.injection_speed)
    return times_three("process.injection_speed", *process.injection_speed);
  if (!process.speed_profile.empty())
    return times_three("process.injection_speed", mean_speed(process.speed_profile));
  const double pressure = process.constant_pressure.value_or(0.0);
  return WindowAxis(
      range_of("process.constant_pressure", 0.5 * pressure, 2.0 * pressure, AxisSpacing::ratio));
}

VariedKey normal_spread(const std::string& key, double mean, double deviation) {
  VariedKey varied;
  varied.mean = mean;
  varied.deviation = deviation;
  varied.range =
      range_of(key, mean - cut_off * deviation, mean + cut_off * deviation, AxisSpacing::even);
  check_override({key, varied.range.from});
  check_override({key, varied.range.to});
  return varied;
}

}  // namespace

WindowAxis::WindowAxis(SweepAxis axis) : axis_(std::move(axis)) {
  const KeySpec& spec = override_spec(axis_.key);
  if (!is_gradual(spec))
    refuse(axis_.key, "a window needs keys that change gradually: quantities and bare numbers");
  if (axis_.from.empty())
    refuse(axis_.key, fmt::format("an axis of a window is a range, {}=FROM..TO", axis_.key));
  if (spec.kind == ValueKind::quantity) unit_ = unit_of(axis_.from);
  low_ = number(axis_.from);
  high_ = number(axis_.to);
}

double WindowAxis::number(const std::string& written) const {
  const double value = override_number({axis_.key, written});
  const KeySpec& spec = override_spec(axis_.key);
  return unit_.empty() ? value : in_unit(value, unit_, spec.dimension);
}

double WindowAxis::share_of(double number) const {
  if (axis_.spacing == AxisSpacing::even) return (number - low_) / (high_ - low_);
  return std::log(number / low_) / std::log(high_ / low_);
}

double WindowAxis::share(const std::string& written) const { return share_of(number(written)); }

std::string WindowAxis::handy_value(double share) const {
  constexpr double fineness = 0.02;  // a step of half of it is the largest change
  const double near = number(value(share));
  const double width =
      axis_.spacing == AxisSpacing::even ? high_ - low_ : near * std::log(high_ / low_);
  const double step = round_step(fineness * width);
  const double rounded = std::clamp(step * std::round(near / step), low_, high_);
  constexpr int digits = 9;
  const std::string text = format_number(std::stod(fmt::format("{:.{}g}", rounded, digits)));
  return unit_.empty() ? text : fmt::format("{} {}", text, unit_);
}

std::vector<double> WindowAxis::ticks() const {
  std::vector<double> out;
  constexpr double wanted = 5.0, rounding = 1e-9;
  if (axis_.spacing == AxisSpacing::even) {
    const double step = round_step((high_ - low_) / wanted * (1.0 + rounding));
    for (double n = std::ceil(low_ / step - rounding); n * step <= high_ + rounding * step; ++n)
      out.push_back(n * step);
    return out;
  }
  for (double power = std::pow(10.0, std::floor(std::log10(low_))); power <= high_; power *= 10.0)
    for (const double factor : {1.0, 2.0, 5.0})
      if (factor * power >= low_ * (1.0 - rounding) && factor * power <= high_ * (1.0 + rounding))
        out.push_back(factor * power);
  return out;
}

WindowAxis window_axis_from(std::string_view text) {
  SweepAxis axis = axis_from(text);
  if (!axis.values.empty())
    refuse(axis.key, fmt::format("{}; an axis of a window is a range, {}=FROM..TO",
                                 axis.values.size() == 1 ? "one value is no axis"
                                                         : "a list has nothing in between",
                                 axis.key));
  return WindowAxis(std::move(axis));
}

std::vector<WindowAxis> usual_axes(const Case& c, const Material& material) {
  constexpr double both_ways = 30.0;  // [K]
  const double melt = c.process.melt_temperature;
  const double low = std::max(material.melt_temperature_min, melt - both_ways);
  const double high = std::min(material.melt_temperature_max, melt + both_ways);
  if (!(high > low))
    refuse("process.melt_temperature", "the case's value lies far outside of the material card's");
  return {WindowAxis(range_of("process.melt_temperature", low, high, AxisSpacing::even)),
          speed_axis(c.process)};
}

std::string VariedKey::value(double u) const {
  if (deviation == 0.0) return axis_value(range, u);
  const double inside = share_below + u * (1.0 - 2.0 * share_below);
  return written_value(override_spec(range.key), mean + deviation * normal_quantile(inside));
}

std::string VariedKey::spread() const {
  if (deviation == 0.0) return fmt::format("{} to {}, evenly", range.from, range.to);
  const KeySpec& spec = override_spec(range.key);
  const Dimension dim =
      spec.dimension == Dimension::temperature ? Dimension::temperature_difference : spec.dimension;
  return fmt::format("{} +- {}", written_value(spec, mean),
                     spec.kind == ValueKind::quantity ? format_quantity(deviation, dim)
                                                      : format_number(deviation));
}

VariedKey varied_from(std::string_view text) {
  const std::size_t sign = text.find("+-"), equals = text.find('=');
  if (sign == std::string_view::npos) {
    VariedKey varied;
    varied.range = window_axis_from(text).range();
    return varied;
  }
  if (equals == std::string_view::npos || equals > sign)
    throw Error(
        fmt::format("\"{}\" varies nothing; write \"KEY=FROM..TO\" or \"KEY=MEAN +- SD\"", text));
  // Read as a list of one value, which checks the key and the mean.
  const SweepAxis mean = axis_from(text.substr(0, sign));
  const KeySpec& spec = override_spec(mean.key);
  if (!is_gradual(spec)) refuse(mean.key, "only quantities and bare numbers have a spread");
  std::string deviation(text.substr(sign + 2));
  deviation.erase(0, deviation.find_first_not_of(" \t"));
  const Dimension dim =
      spec.dimension == Dimension::temperature ? Dimension::temperature_difference : spec.dimension;
  char* end = nullptr;
  double size = std::strtod(deviation.c_str(), &end);
  try {
    if (spec.kind == ValueKind::quantity) size = parse_quantity(deviation, dim);
  } catch (const UnitError& wrong) {
    refuse(mean.key, fmt::format("\"{}\": {}", deviation, wrong.what()));
  }
  const bool is_number =
      end != deviation.c_str() && (spec.kind == ValueKind::quantity || *end == '\0') && size > 0.0;
  if (!is_number || !std::isfinite(size))
    refuse(mean.key, fmt::format("\"{}\" is no standard deviation; it must be above 0", deviation));
  return normal_spread(mean.key, override_number({mean.key, mean.values.front()}), size);
}

std::vector<VariedKey> usual_variation(const Case& c) {
  constexpr double lot = 0.05, mould = 2.0;  // [-], [K]; own judgement, no source
  std::vector<VariedKey> all;
  all.push_back(normal_spread("material.viscosity_factor", c.material.viscosity_factor,
                              lot * c.material.viscosity_factor));
  VariedKey regrind;
  regrind.range = range_of("material.regrind", 0.0, std::max(c.limits.regrind, c.material.regrind),
                           AxisSpacing::even);
  all.push_back(regrind);
  const double fixed = c.process.mould_temperature_fixed,
               moving = c.process.mould_temperature_moving;
  if (c.mould.fixed) {  // the faces follow from the water
    all.push_back(
        normal_spread("mould.channel.coolant_temperature", c.mould.fixed->temperature, mould));
  } else if (fixed == moving) {
    all.push_back(normal_spread("process.mould_temperature", fixed, mould));
  } else {
    all.push_back(normal_spread("process.mould_temperature.fixed", fixed, mould));
    all.push_back(normal_spread("process.mould_temperature.moving", moving, mould));
  }
  return all;
}

}  // namespace firstshot
