// Text of a material card with a viscosity law of a test's own.
#pragma once

#include <string>

namespace firstshot::test {

/// @param viscosity the lines of its table
inline std::string card_with(const std::string& viscosity) {
  return R"toml(name = "trial"
grade = "for this test"
[viscosity]
)toml" + viscosity +
         R"toml(
[thermal]
density_melt = "970 kg/m3"
conductivity = "0.155 W/(m K)"
heat_capacity = [["27 degC", "1223 J/(kg K)"], ["220 degC", "2120 J/(kg K)"]]
ejection_temperature = "80 degC"
source = "test"
[pvt]
transition_temperature = "373.15 K"
transition_shift = "0.51 K/MPa"
melt_volume = "9.72e-4 m3/kg"
melt_expansion = "5.44e-7 m3/(kg K)"
melt_stiffness = "168.25 MPa"
melt_softening = "4.08e-3 1/K"
solid_volume = "9.72e-4 m3/kg"
solid_expansion = "2.24e-7 m3/(kg K)"
solid_stiffness = "261.51 MPa"
solid_softening = "3.00e-3 1/K"
source = "test"
[valid]
melt_temperature = ["180 degC", "280 degC"]
mould_temperature = ["10 degC", "70 degC"]
source = "test"
)toml";
}

}  // namespace firstshot::test
