#include "solver/numeric/parallel.hpp"

#include <algorithm>
#include <exception>
#include <memory>
#include <vector>

#include "solver/numeric/parallel_each.hpp"
#include "solver/numeric/thread_pool.hpp"

namespace firstshot {

namespace {

/// One thread unless `tools` asks for more: a library that starts threads by itself slows its host.
/// The one pool of the process, made at the first loop that needs it.
int threads_wanted = 1;

ThreadPool& pool() {
  static std::unique_ptr<ThreadPool> threads;
  if (!threads || threads->helpers() != threads_wanted - 1) {
    threads.reset();
    threads = std::make_unique<ThreadPool>(threads_wanted - 1);
  }
  return *threads;
}

}  // namespace

void set_thread_count(int n) { threads_wanted = std::max(n, 1); }
int thread_count() { return threads_wanted; }

namespace detail {

void run_chunks(std::size_t n, std::size_t serial_below, void* context, ChunkBody body) {
  if (n < serial_below || threads_wanted == 1 || ThreadPool::inside()) {
    if (n > 0) body(context, 0, n);
    return;
  }
  // A few chunks per thread, so that one that falls behind does not keep the others waiting, but
  // none so small that claiming it would cost more than its work.
  constexpr std::size_t chunks_per_thread = 12, chunks_at_least_size = 4;
  const std::size_t most = std::max<std::size_t>(
      2, n * chunks_at_least_size / std::max<std::size_t>(serial_below, chunks_at_least_size));
  struct Loop {
    std::size_t n, chunks;
    void* context;
    ChunkBody body;
    std::vector<std::exception_ptr> errors;
  } loop{n,
         std::min(most, chunks_per_thread * static_cast<std::size_t>(threads_wanted)),
         context,
         body,
         {}};
  loop.errors.resize(loop.chunks);
  pool().run(loop.chunks, &loop, [](void* context_of_loop, std::size_t k) {
    auto& l = *static_cast<Loop*>(context_of_loop);
    try {
      l.body(l.context, l.n * k / l.chunks, l.n * (k + 1) / l.chunks);
    } catch (...) {
      l.errors[k] = std::current_exception();
    }
  });
  for (const auto& e : loop.errors)
    if (e) std::rethrow_exception(e);
}

void run_each(std::size_t n, void* context, void (*item)(void* context, std::size_t i)) {
  if (n < 2 || threads_wanted == 1 || ThreadPool::inside())
    for (std::size_t i = 0; i < n; ++i) item(context, i);
  else
    pool().run(n, context, item);
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
