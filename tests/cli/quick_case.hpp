// A case for many whole runs, shared with tests/slurm.
#pragma once

#include <string>

namespace firstshot::test {

/// A strip that takes a few hundredths of a second, and no holding: quick_case.toml.
std::string quick_case();

}  // namespace firstshot::test
