// Where the time of a fill goes, for the benchmark. No result depends on it.
#pragma once

#include <chrono>

namespace firstshot {

/// Seconds of wall-clock time since construction of a Fill.
struct StageSeconds {
  double viscosity = 0.0;  ///< 1/η₀ of all layers
  double front = 0.0;      ///< pressure, active set, air
  double fluidity = 0.0;   ///< S of all elements, conductance of all edges
  double heat = 0.0;       ///< energy sweep
};

/// Adds the time of its life to a number of seconds.
class StageTimer {
 public:
  explicit StageTimer(double& seconds) : seconds_(seconds) {}
  ~StageTimer() {
    seconds_ += std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
  }
  StageTimer(const StageTimer&) = delete;
  StageTimer& operator=(const StageTimer&) = delete;

 private:
  double& seconds_;
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

}  // namespace firstshot
