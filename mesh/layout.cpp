#include "mesh/layout.hpp"

namespace firstshot {

std::string role_name(Role role) {
  switch (role) {
    case Role::part:
      return "part";
    case Role::runner:
      return "runner";
    case Role::gate:
      return "gate";
    case Role::sprue:
      return "sprue";
  }
  return "unknown";
}

}  // namespace firstshot
