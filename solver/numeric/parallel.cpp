#include "solver/numeric/parallel.hpp"

#include <algorithm>
#include <exception>
#include <vector>

#include <omp.h>

namespace firstshot {

namespace {

/// One thread unless `tools` asks for more: a library that spins up threads by itself slows its
/// host.
int threads_wanted = 1;

}  // namespace

void set_thread_count(int n) { threads_wanted = std::max(n, 1); }
int thread_count() { return threads_wanted; }

namespace detail {

void run_chunks(std::size_t n, std::size_t serial_below, void* context, ChunkBody body) {
  const auto threads = static_cast<std::size_t>(threads_wanted);
  if (n < serial_below || threads == 1 || omp_in_parallel() != 0) {
    if (n > 0) body(context, 0, n);
    return;
  }
  std::vector<std::exception_ptr> errors(threads);
  const auto chunks = static_cast<std::ptrdiff_t>(threads);
#pragma omp parallel for schedule(static, 1) num_threads(threads_wanted)
  for (std::ptrdiff_t c = 0; c < chunks; ++c) {
    const auto k = static_cast<std::size_t>(c);
    const std::size_t begin = n * k / threads;
    const std::size_t end = n * (k + 1) / threads;
    try {
      if (begin < end) body(context, begin, end);
    } catch (...) {
      errors[k] = std::current_exception();
    }
  }
  for (const auto& e : errors)
    if (e) std::rethrow_exception(e);
}

}  // namespace detail

double ordered_sum(std::span<const double> values) {
  constexpr std::size_t block = 1024;
  const std::size_t blocks = (values.size() + block - 1) / block;
  std::vector<double> partial(blocks, 0.0);
  parallel_for(
      blocks,
      [&](std::size_t b) {
        const std::size_t end = std::min(values.size(), (b + 1) * block);
        double sum = 0.0;
        for (std::size_t i = b * block; i < end; ++i) sum += values[i];
        partial[b] = sum;
      },
      64);
  double total = 0.0;
  for (double p : partial) total += p;
  return total;
}

}  // namespace firstshot
