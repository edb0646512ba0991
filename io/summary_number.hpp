// Numbers of summary.json. Templates, so that users of this header need no library for JSON: `Json`
// is the type of its values.
#pragma once

#include <optional>

namespace firstshot {

/// The value with 9 significant digits: what a change of unit leaves behind is not shown.
double summary_number(double value);

/// A value, or null when there is none.
template <class Json>
Json number_or_null(const std::optional<double>& value) {
  return value ? Json(summary_number(*value)) : Json();
}

/// A time [s], or null when it never came.
template <class Json>
Json time_or_null(double time) {
  return time < 0.0 ? Json() : Json(summary_number(time));
}

}  // namespace firstshot
