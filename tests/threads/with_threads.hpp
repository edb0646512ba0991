// Runs a piece of a test with some number of threads and gives the library its one thread back.
#pragma once

#include "solver/numeric/parallel.hpp"

namespace firstshot::test {

template <class F>
auto with_threads(int n, F&& f) {
  struct Restore {
    ~Restore() { set_thread_count(1); }
  } restore;
  set_thread_count(n);
  return f();
}

}  // namespace firstshot::test
