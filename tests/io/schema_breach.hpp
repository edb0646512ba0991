// Checks JSON against the part of JSON Schema that the schemas in cases/ use.
#pragma once

#include <string>

namespace firstshot::test {

/// First breach, with its place; empty when there is none.
std::string schema_breach(const std::string& json, const std::string& schema);

}  // namespace firstshot::test
