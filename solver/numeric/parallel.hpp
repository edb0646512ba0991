// Loops over threads with the same bits for any number of threads: each item writes its own slot,
// sums run over fixed blocks. Threads (thread_pool.hpp) stay behind this header; only `tools` sets
// their number. Loops are begun by one thread at a time.
#pragma once

#include <cstddef>
#include <span>
#include <type_traits>

namespace firstshot {

/// Number of threads for all loops to come, at least 1; 1 until it is set.
void set_thread_count(int n);
int thread_count();

namespace detail {
using ChunkBody = void (*)(void* context, std::size_t begin, std::size_t end);
void run_chunks(std::size_t n, std::size_t serial_below, void* context, ChunkBody body);
}  // namespace detail

/// Default size below which a loop stays on the calling thread.
inline constexpr std::size_t small_loop = 2000;

/// Calls f(i) for i = 0 … n-1, each once, in any order. An exception of the lowest chunk that threw
/// leaves the loop after all chunks have ended.
template <class F>
void parallel_for(std::size_t n, F&& f, std::size_t serial_below = small_loop) {
  detail::run_chunks(n, serial_below, &f, [](void* context, std::size_t begin, std::size_t end) {
    auto& body = *static_cast<std::remove_reference_t<F>*>(context);
    for (std::size_t i = begin; i < end; ++i) body(i);
  });
}

/// Calls f(begin, end) for consecutive chunks that cover 0 … n-1, so that a chunk can keep scratch
/// space.
template <class F>
void parallel_chunks(std::size_t n, F&& f, std::size_t serial_below = small_loop) {
  detail::run_chunks(n, serial_below, &f, [](void* context, std::size_t begin, std::size_t end) {
    (*static_cast<std::remove_reference_t<F>*>(context))(begin, end);
  });
}

/// Sum over fixed blocks of 1024: the same bits for any number of threads.
double ordered_sum(std::span<const double> values);

}  // namespace firstshot
