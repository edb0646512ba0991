// How each field is shown to people: name, unit, colours. One list for the page and the pictures.
// A field that the list does not know is shown under its own name in SI units.
#pragma once

#include <cstddef>
#include <string>

namespace firstshot {

struct ShownField {
  std::string key;      ///< name in result.h5
  std::string label;    ///< "melt arrives after"
  std::string unit;     ///< as shown, "MPa"; empty for pure numbers
  double factor = 1.0;  ///< shown = SI × factor + offset
  double offset = 0.0;
  std::string colours;       ///< name of a scale (io/colour_scales)
  bool logarithmic = false;  ///< spread over decades
  bool at_end_only = false;  ///< the last step tells everything
  bool hidden = false;       ///< for drawing only, not offered as a picture
  std::size_t rank = 0;      ///< order in which fields are offered
};

/// @param key name of the dataset @param si_unit its attribute `units`
ShownField shown_field(const std::string& key, const std::string& si_unit);

}  // namespace firstshot
