#include "tests/cli/quick_case.hpp"

#include <fstream>
#include <sstream>

namespace firstshot::test {

std::string quick_case() {
  std::ostringstream text;
  text << std::ifstream(std::string(FIRSTSHOT_SOURCE_DIR) + "/tests/cli/quick_case.toml").rdbuf();
  return text.str();
}

}  // namespace firstshot::test
