// firstshot: arguments → command; errors → exit code.
#include <cstdio>
#include <exception>
#include <new>

#include "mesh/error.hpp"
#include "solver/stage/fill.hpp"
#include "tools/cli/command_line.hpp"
#include "tools/cli/exit_code.hpp"

int main(int argc, char** argv) {
  try {
    return firstshot::run_command_line(argc, argv);
  } catch (const firstshot::SolveError& e) {
    std::fprintf(stderr, "firstshot: %s\n", e.what());
    return firstshot::exit_no_solution;
  } catch (const firstshot::Error& e) {
    std::fprintf(stderr, "firstshot: %s\n", e.what());
    return firstshot::exit_bad_input;
  } catch (const std::bad_alloc&) {
    std::fprintf(stderr,
                 "firstshot: there is not enough memory for this case; a coarser accuracy.level "
                 "needs less\n");
    return firstshot::exit_no_solution;
  } catch (const std::exception& e) {
    std::fprintf(stderr,
                 "firstshot: this is a fault of the program, please report it with the case: %s\n",
                 e.what());
    return firstshot::exit_our_bug;
  }
}
