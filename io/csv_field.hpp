// A field of a CSV file, in quotes where it needs them (RFC 4180).
#pragma once

#include <string>

namespace firstshot {

std::string csv_field(const std::string& text);

}  // namespace firstshot
