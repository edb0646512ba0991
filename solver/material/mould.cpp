#include "solver/material/mould.hpp"

#include <algorithm>

namespace firstshot {

const std::vector<MouldMetal>& mould_metals() {
  static const std::vector<MouldMetal> metals = {
      {"aluminium-7075", 130.0, 2810.0, 960.0},
      {"aluminium-6061", 167.0, 2700.0, 896.0},
      {"aluminium-5083", 120.0, 2660.0, 900.0},
      {"steel", 30.0, 7800.0, 460.0},  // pre-hardened mould steel (1.2311, P20)
  };
  return metals;
}

const MouldMetal* find_mould_metal(const std::string& name) {
  const auto& all = mould_metals();
  const auto it =
      std::find_if(all.begin(), all.end(), [&](const MouldMetal& m) { return m.name == name; });
  return it == all.end() ? nullptr : &*it;
}

}  // namespace firstshot
