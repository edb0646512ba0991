// What the rules of the verdict found (verdict.hpp).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "mesh/tri_mesh.hpp"

namespace firstshot {

enum class Severity { stop, look, note };

struct Finding {
  std::string rule;  ///< short name for scripts, "short_shot"
  Severity severity = Severity::note;
  std::string text;              ///< one or two sentences
  std::string source;            ///< of the limit
  std::string unit;              ///< of value and limit: "MPa", "1"
  std::optional<double> value;   ///< measured, in `unit`
  std::optional<double> limit;   ///< in `unit`
  std::optional<double> margin;  ///< (limit - value) / |limit|, negative when broken [-]
  std::optional<Point> at;       ///< [m]
  std::string part;              ///< empty: the whole frame
};

struct Verdict {
  bool approved = true;
  std::vector<Finding> findings;  ///< stops first
};

}  // namespace firstshot
