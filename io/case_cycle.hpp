// The keys of cooling, mould and cost as written in a case.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "mesh/close_off.hpp"
#include "solver/setup.hpp"

namespace firstshot {

class CaseTable;

/// From the tables material, process, mould. What the file leaves to the material card stays empty.
struct CaseCooling {
  double detached_conductance = 0.0;  ///< [W/(m² K)]
  EjectionCriterion part_criterion = EjectionCriterion::core;
  EjectionCriterion runner_criterion = EjectionCriterion::core;
  std::optional<double> part_temperature, runner_temperature;  ///< [K]
  std::optional<double> time;                                  ///< [s]; empty: as needed
  double eject_time = 0.0;                                     ///< [s]
  Release release;
  bool operator==(const CaseCooling&) const = default;
};

/// Tables [[closed]]. @throws CaseError when the shape is a solid
ShutOff read_case_closed(const CaseTable& root);
CaseCooling read_case_cooling(const CaseTable& root);
/// @throws CaseError bores that do not fit beside each other or reach into the face
Mould read_case_mould(const CaseTable& root);
/// Nothing without a table [cost].
std::optional<CostRates> read_case_cost(const CaseTable& root);
RegrindColour regrind_colour_from(const std::string& name);

/// Lines of the resolved case; those of a table that others write to are without its heading.
std::string release_lines(const Release& release);
std::string detached_conductance_line(const CaseCooling& cooling);
std::string process_cooling_lines(const CaseCooling& cooling);
std::string closed_lines(const ShutOff& shut);
std::string mould_lines(const Mould& mould);
std::string cost_lines(const CostRates& rates);
std::string regrind_colour_name(RegrindColour colour);

struct Case;
struct BuiltSetup;
/// The case without what it closes off; says so in a note. @throws CaseError an unknown name
Case opened(const Case& c, std::vector<std::string>& notes);
/// Takes what the case closes off out of the model of a solid. @throws CaseError an unknown name
void close_solid(const Case& c, BuiltSetup& built);
/// Cooling, mould, blend and cost of the setup from its case, with what must fit together; moulding
/// faces follow from cooling channels where there are some. The setup must be complete otherwise.
/// @throws CaseError
void build_cycle(const Case& c, BuiltSetup& built);

}  // namespace firstshot
