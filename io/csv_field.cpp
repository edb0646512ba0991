#include "io/csv_field.hpp"

#include <fmt/format.h>

namespace firstshot {

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\n\r") == std::string::npos) return text;
  std::string out;
  for (const char c : text) {
    if (c == '"') out.push_back(c);
    out.push_back(c);
  }
  return fmt::format("\"{}\"", out);
}

}  // namespace firstshot
