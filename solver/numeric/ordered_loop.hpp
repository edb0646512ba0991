// A loop whose items read what earlier ones made, as the control volumes of a flow read those
// upstream. Threads take items in their order, a few at a time, and wait for single items, not for
// whole levels: a long runner, one volume wide, does not hold up the parts on other branches.
//
// Whoever waits for an item that was handed out before his own cannot wait for ever: the lowest
// item that has not ended never waits, and a thread works on it. So every item may wait for those
// before it in the order, and for no others.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "solver/numeric/parallel_each.hpp"

namespace firstshot {

class OrderedLoop {
 public:
  /// @param items how many there may be, numbered from 0
  explicit OrderedLoop(std::size_t items);

  /// Calls `worker(loop)` once on each thread that comes to help, until all items of `order` have
  /// ended. A worker asks for items with next() until there is none. It must not throw.
  /// @param order items in an order in which each stands behind those that it reads
  template <class Worker>
  void run(std::span<const std::int32_t> order, Worker&& worker) {
    begin(order);
    parallel_each(workers(), [&](std::size_t) { worker(*this); });
  }

  /// Items for the calling thread, none when all are given away.
  std::span<const std::int32_t> next();
  /// What the item made may be read now.
  void end(std::int32_t item) { waiting_[item].store(0, std::memory_order_release); }
  /// Returns when the item has ended; at once when it is none of this loop.
  void wait_for(std::int32_t item) const {
    if (waiting_[item].load(std::memory_order_acquire) != 0) look_until_ended(item);
  }

 private:
  void begin(std::span<const std::int32_t> order);
  std::size_t workers() const;
  void look_until_ended(std::int32_t item) const;

  std::span<const std::int32_t> order_;
  std::atomic<std::size_t> given_{0};                     // of order_
  std::unique_ptr<std::atomic<std::uint8_t>[]> waiting_;  // (items) 1: in order_, not yet ended
};

}  // namespace firstshot
