#include "io/toml_text.hpp"

#include <fmt/format.h>

#include "io/units.hpp"

namespace firstshot {

std::string toml_string(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (static_cast<unsigned char>(c) < 0x20u || c == '\x7f') {
      out += fmt::format("\\u{:04x}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    } else {
      out += c;
    }
  }
  out += '"';
  return out;
}

std::string toml_number(double value) { return format_number(value); }

}  // namespace firstshot
