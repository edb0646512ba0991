// Fills a plate of 40 × 20 × 1.5 mm from one corner region at 5 cm³/s and prints when it is full.
#include <cstdio>

#include "mesh/build_model.hpp"
#include "solver/whole/run_case.hpp"

int main() {
  firstshot::Area plate;
  plate.name = "plate";
  plate.outline = firstshot::RectangleShape{{0.02, 0.01}, 0.04, 0.02};
  plate.thickness = 1.5e-3;

  firstshot::Layout layout;
  layout.areas = {plate};
  layout.injection = {0.005, 0.01};
  layout.injection_diameter = 2e-3;

  firstshot::Setup setup;
  setup.model = firstshot::build_model(layout, {.element_size = 2e-3});
  setup.material.viscosity = firstshot::Newtonian{.eta_ref = 100.0};
  setup.material.heat_capacity = {{493.15}, {2100.0}};
  setup.process.speed = {{0.0, 5e-6}};
  setup.process.barrel_compressible = false;
  setup.process.injection_pressure_max = 150e6;
  setup.isothermal = true;

  const firstshot::Result result = firstshot::run_case(setup);
  std::printf("%s full at %.4f s\n", result.parts.at(0).name.c_str(), result.parts.at(0).full);
}
