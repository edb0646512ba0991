// The loop for few items with much work: each is claimed by itself. Otherwise as in parallel.hpp.
#pragma once

#include <cstddef>
#include <type_traits>

namespace firstshot {

namespace detail {
void run_each(std::size_t n, void* context, void (*item)(void* context, std::size_t i));
}  // namespace detail

/// Calls f(i) for i = 0 … n-1, each once, in any order. f must not throw.
template <class F>
void parallel_each(std::size_t n, F&& f) {
  detail::run_each(n, &f, [](void* context, std::size_t i) {
    (*static_cast<std::remove_reference_t<F>*>(context))(i);
  });
}

}  // namespace firstshot
