#include "solver/numeric/background.hpp"

#include <utility>

#include "solver/numeric/parallel.hpp"

namespace firstshot {

BackgroundTasks::~BackgroundTasks() {
  if (!thread_.joinable()) return;
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  change_.notify_all();
  thread_.join();
}

bool BackgroundTasks::beside() { return thread_count() > 1; }

void BackgroundTasks::add(std::function<void()> task) {
  if (!beside()) {
    wait();
    return task();
  }
  std::unique_lock lock(mutex_);
  change_.wait(lock, [&] { return waiting_.size() < most_waiting_ || error_; });
  throw_error();
  waiting_.push_back(std::move(task));
  if (!thread_.joinable()) thread_ = std::thread([this] { work(); });
  change_.notify_all();
}

void BackgroundTasks::wait() {
  std::unique_lock lock(mutex_);
  change_.wait(lock, [&] { return waiting_.empty() && !working_; });
  throw_error();
}

/// With mutex_ held.
void BackgroundTasks::throw_error() {
  if (error_) std::rethrow_exception(std::exchange(error_, nullptr));
}

void BackgroundTasks::work() {
  std::unique_lock lock(mutex_);
  for (;;) {
    change_.wait(lock, [&] { return !waiting_.empty() || stop_; });
    if (waiting_.empty()) return;
    const std::function<void()> task = std::move(waiting_.front());
    waiting_.pop_front();
    working_ = true;
    lock.unlock();
    change_.notify_all();
    std::exception_ptr error;
    try {
      task();
    } catch (...) {
      error = std::current_exception();
    }
    lock.lock();
    working_ = false;
    if (error) {
      error_ = error;
      waiting_.clear();
    }
    change_.notify_all();
  }
}

}  // namespace firstshot
