// A case of three seconds at most: two plates, one on each side of a sprue.
#pragma once

#include <string>

#include "tests/io/two_plates.hpp"

namespace firstshot::test {

inline std::string small_case(const std::string& process = "fill_time = \"0.5 s\"") {
  return "title = \"Two plates\"\n" + test::two_plates_layout() +
         R"([material]
card = "hips-8"
[press]
card = "press-60t"
[process]
)" + process +
         "\n";
}

}  // namespace firstshot::test
