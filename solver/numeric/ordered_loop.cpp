#include "solver/numeric/ordered_loop.hpp"

#include <algorithm>
#include <thread>

#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

/// Items that a thread takes at a time.
constexpr std::size_t batch = 4;
/// Fewer items stay on the calling thread.
constexpr std::size_t serial_below = 64;
/// How often a thread looks for an item's end before it lets others run.
constexpr int looks_before_yield = 2000;

}  // namespace

OrderedLoop::OrderedLoop(std::size_t items)
    : waiting_(std::make_unique<std::atomic<std::uint8_t>[]>(items)) {}

void OrderedLoop::begin(std::span<const std::int32_t> order) {
  order_ = order;
  given_.store(0, std::memory_order_relaxed);
  for (const std::int32_t item : order) waiting_[item].store(1, std::memory_order_relaxed);
}

std::size_t OrderedLoop::workers() const {
  return order_.size() < serial_below ? 1 : static_cast<std::size_t>(thread_count());
}

std::span<const std::int32_t> OrderedLoop::next() {
  const std::size_t first = given_.fetch_add(batch, std::memory_order_relaxed);
  if (first >= order_.size()) return {};
  return order_.subspan(first, std::min(batch, order_.size() - first));
}

void OrderedLoop::look_until_ended(std::int32_t item) const {
  for (int look = 0; waiting_[item].load(std::memory_order_acquire) != 0; ++look)
    if (look > looks_before_yield) std::this_thread::yield();
}

}  // namespace firstshot
