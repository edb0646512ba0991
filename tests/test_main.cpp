#define CATCH_CONFIG_MAIN
#include <catch2/catch.hpp>

// Asked by the leak sanitizer; nobody calls it without. OpenCASCADE keeps small tables to the end
// of the program; its call stacks end inside its libraries, so they are named, not our functions.
//
// NOLINTNEXTLINE(bugprone-reserved-identifier,readability-identifier-naming)
extern "C" const char* __lsan_default_suppressions() { return "leak:libTK\n"; }
