// Clopper-Pearson intervals against SciPy 1.10.1, made by tests/verify/reference/share_interval.py.
#include <cmath>

#include <catch2/catch.hpp>

#include "solver/numeric/share_interval.hpp"

namespace firstshot::test {
namespace {

struct Reference {
  std::size_t good, n;
  double confidence, low, high;
};
constexpr Reference references[] = {
    {0, 10, 0.95, 0, 0.308497107818763},
    {1, 10, 0.95, 0.00252857854446257, 0.445016117028195},
    {5, 10, 0.95, 0.187086028447404, 0.812913971552595},
    {10, 10, 0.95, 0.691502892181237, 1},
    {36, 40, 0.95, 0.763362600124052, 0.972074584705781},
    {40, 40, 0.95, 0.911902697121197, 1},
    {173, 200, 0.99, 0.791538885771136, 0.920397650778713},
    {1, 1, 0.9, 0.05, 1},
    {999, 1000, 0.95, 0.99444107572015, 0.999974682512508},
};

/// Share of samples of n draws at the true share p whose interval holds it.
double coverage(std::size_t n, double p, double confidence) {
  double covered = 0.0;
  double probability = std::pow(1.0 - p, static_cast<double>(n));  // of no good one
  for (std::size_t k = 0; k <= n; ++k) {
    const ShareInterval i = share_interval(k, n, confidence);
    if (i.low <= p && p <= i.high) covered += probability;
    const auto good = static_cast<double>(k);
    probability *= (static_cast<double>(n) - good) / (good + 1.0) * p / (1.0 - p);
  }
  return covered;
}

}  // namespace

TEST_CASE("the interval of a share agrees with a reference library", "[numeric]") {
  for (const Reference& r : references) {
    INFO(r.good << " of " << r.n);
    const ShareInterval i = share_interval(r.good, r.n, r.confidence);
    CHECK(i.low == Approx(r.low).epsilon(1e-10).margin(1e-14));  // the reference has 15 digits
    CHECK(i.high == Approx(r.high).epsilon(1e-10));
  }
}

TEST_CASE("the interval of a share covers the true one at least as often as stated", "[numeric]") {
  for (const double p : {0.02, 0.3, 0.5, 0.77, 0.95}) {
    INFO(p);
    CHECK(coverage(40, p, 0.95) >= 0.95);
    CHECK(coverage(40, p, 0.95) <= 1.0 + 1e-12);
  }
  // Hardly more than needed where the steps are fine: it is no trivial 0 … 1.
  CHECK(coverage(1000, 0.5, 0.95) < 0.96);
}

}  // namespace firstshot::test
