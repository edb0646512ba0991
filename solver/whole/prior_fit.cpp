#include "solver/whole/prior_fit.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <utility>

#include "solver/stage/fill.hpp"
#include "solver/whole/fit_tangent.hpp"

namespace firstshot {
namespace {

/// A point that the model was asked for.
struct Seen {
  std::vector<double> point, forecast;
};

/// Secants along each factor from one point.
class Secants {
 public:
  Secants(const FitProblem& problem, const Seen& middle, std::vector<double> reach)
      : problem_(problem), middle_(middle), reach_(std::move(reach)), beside_(reach_.size()) {}

  /// Looks towards larger factors; where bounds or the model forbid that, or where both sides are
  /// asked for, towards smaller ones. @throws SolveError no answer on either side
  void look(const ForecastModel& model, bool both_sides) {
    std::vector<std::pair<std::size_t, int>> asked;
    for (std::size_t j = 0; j < reach_.size(); ++j) {
      const bool up = is_free(j, 1);
      if (up) asked.emplace_back(j, 1);
      if ((both_sides || !up) && is_free(j, -1)) asked.emplace_back(j, -1);
    }
    ask(model, asked);
    asked.clear();
    for (std::size_t j = 0; j < reach_.size(); ++j)
      if (beside_[j].empty() && !both_sides && is_free(j, -1)) asked.emplace_back(j, -1);
    if (!asked.empty()) ask(model, asked);
    for (const auto& beside : beside_)
      if (beside.empty())
        throw SolveError("the forecast has no answer a little beside the best factors so far");
  }

  /// (measured, factors)
  Matrix slopes() const {
    Matrix out(middle_.forecast.size(), std::vector<double>(reach_.size()));
    for (std::size_t j = 0; j < reach_.size(); ++j) {
      const Seen& a = beside_[j].front();
      const Seen& b = beside_[j].size() > 1 ? beside_[j].back() : middle_;
      for (std::size_t i = 0; i < out.size(); ++i)
        out[i][j] = (a.forecast[i] - b.forecast[i]) / (a.point[j] - b.point[j]);
    }
    return out;
  }

  /// All points that had an answer.
  std::vector<Seen> seen() const {
    std::vector<Seen> all;
    for (const auto& beside : beside_) all.insert(all.end(), beside.begin(), beside.end());
    return all;
  }

 private:
  std::vector<double> moved(std::size_t j, int way) const {
    std::vector<double> p = middle_.point;
    p[j] += way * reach_[j];
    return p;
  }
  bool is_free(std::size_t j, int way) const {
    const double at = moved(j, way)[j];
    return problem_.factors[j].low <= at && at <= problem_.factors[j].high;
  }
  void ask(const ForecastModel& model, const std::vector<std::pair<std::size_t, int>>& asked) {
    Matrix points;
    for (const auto& [j, way] : asked) points.push_back(moved(j, way));
    Forecasts forecasts = model(points);
    for (std::size_t k = 0; k < asked.size(); ++k)
      if (forecasts[k])
        beside_[asked[k].first].push_back({std::move(points[k]), std::move(*forecasts[k])});
  }

  const FitProblem& problem_;
  const Seen& middle_;
  std::vector<double> reach_;
  std::vector<std::vector<Seen>> beside_;  ///< (factors)
};

/// A model that is linear around one point: slopes of the secants, and a level that is the mean
/// over all points seen near it, so that the roughness of single runs averages out.
class NearModel {
 public:
  NearModel(Seen middle, const Secants& secants)
      : middle_(std::move(middle.point)), slopes_(secants.slopes()), level_(middle.forecast) {
    for (const Seen& at : secants.seen()) add(at);
  }
  void add(const Seen& at) {
    ++seen_;
    const std::vector<double> here = forecast(at.point);
    for (std::size_t i = 0; i < level_.size(); ++i) level_[i] += (at.forecast[i] - here[i]) / seen_;
  }
  std::vector<double> forecast(const std::vector<double>& point) const {
    std::vector<double> out = level_;
    for (std::size_t i = 0; i < out.size(); ++i)
      for (std::size_t j = 0; j < point.size(); ++j)
        out[i] += slopes_[i][j] * (point[j] - middle_[j]);
    return out;
  }
  FitTangent tangent(const FitProblem& problem, const std::vector<double>& point) const {
    return tangent_at(problem, point, forecast(point), slopes_);
  }
  /// Where the sum of this model is least; numbers need one step, marks bend the sum.
  std::vector<double> least(const FitProblem& problem) const {
    constexpr int most = 50;
    constexpr double close = 1e-9;
    std::vector<double> at = middle_;
    for (int k = 0; k < most; ++k) {
      const FitTangent t = tangent(problem, at);
      std::vector<double> next = downwards(problem, at, t);
      const double length = length_of(at, next, t);
      at = std::move(next);
      if (length < close) break;
    }
    return at;
  }
  const std::vector<double>& middle() const { return middle_; }
  const Matrix& slopes() const { return slopes_; }

 private:
  /// The first step, more and more damped, that does not make the sum larger.
  std::vector<double> downwards(const FitProblem& problem, const std::vector<double>& from,
                                const FitTangent& t) const {
    constexpr int most = 50;
    const auto sum = [&](const std::vector<double>& p) {
      return sum_at(problem, p, forecast(p), t.scatter_factor);
    };
    double damping = 0.0;
    std::vector<double> next = step_from(problem, from, t, damping);
    for (int i = 0; i < most && sum(next) > sum(from); ++i) {
      damping = 2.0 * damping + 1.0;
      next = step_from(problem, from, t, damping);
    }
    return next;
  }

  std::vector<double> middle_;
  Matrix slopes_;
  std::vector<double> level_;  ///< forecast in the middle (measured)
  int seen_ = 1;
};

class Search {
 public:
  Search(const FitProblem& problem, const ForecastModel& model, const FitOptions& options)
      : problem_(problem), model_(model), options_(options) {}

  PriorFit run() {
    begin();
    while (come_nearer()) {
    }
    settle();
    fit_.estimate = best_.point;
    fit_.forecast = best_.forecast;
    return std::move(fit_);
  }

 private:
  static constexpr double near = 1.0;  // spreads of the posterior

  void begin() {
    for (const PriorFactor& f : problem_.factors) best_.point.push_back(f.mean);
    auto first = model_({best_.point}).front();
    if (!first) throw SolveError("the forecast has no answer at the values of the case");
    best_.forecast = std::move(*first);
    fit_.forecast_before = best_.forecast;
  }

  /// A step with secants on one side. @return whether there may be another one to make
  bool come_nearer() {
    std::vector<double> reach;
    for (const PriorFactor& f : problem_.factors) reach.push_back(options_.secant * f.spread);
    Secants secants(problem_, best_, std::move(reach));
    secants.look(model_, false);
    const FitTangent t = tangent_at(problem_, best_.point, best_.forecast, secants.slopes());
    note_spreads(t);
    if (length_of(best_.point, step_from(problem_, best_.point, t, 0.0), t) < near) return false;
    if (fit_.rounds >= options_.most_rounds || !advance(t)) return false;
    ++fit_.rounds;
    return true;
  }

  void note_spreads(const FitTangent& t) {
    spreads_.clear();
    for (std::size_t j = 0; j < problem_.factors.size(); ++j) spreads_.push_back(t.spread_of(j));
  }

  /// With secants to both sides, as far as the answer is open.
  NearModel look_around() {
    std::vector<double> reach;
    for (std::size_t j = 0; j < spreads_.size(); ++j) {
      const double prior = problem_.factors[j].spread;
      reach.push_back(std::clamp(spreads_[j], options_.secant * prior, prior));
    }
    Secants secants(problem_, best_, std::move(reach));
    secants.look(model_, true);
    return {best_, secants};
  }

  /// Goes to the least sum of linear models until it stays where it is.
  void settle() {
    NearModel around = look_around();
    for (;;) {
      const std::vector<double> least = around.least(problem_);
      const FitTangent t = around.tangent(problem_, least);
      fit_.last_step = length_of(best_.point, least, t);
      const bool settled = fit_.last_step < options_.close_enough;
      if (settled || fit_.rounds >= options_.most_rounds) return finish(t, around, settled);
      ++fit_.rounds;
      if (!go_to(least)) return finish(t, around, false);
      around.add(best_);
      if (length_of(around.middle(), best_.point, t) < near) continue;
      note_spreads(t);
      around = look_around();
    }
  }

  /// There, or to where the model has an answer on the way. @return whether it has one
  bool go_to(const std::vector<double>& end) {
    constexpr double half = 0.5;
    double share = 1.0;
    for (int k = 0; k < options_.most_tries; ++k, share *= half) {
      std::vector<double> at = best_.point;
      for (std::size_t j = 0; j < at.size(); ++j) at[j] += share * (end[j] - at[j]);
      if (auto forecast = model_({at}).front()) {
        best_ = {std::move(at), std::move(*forecast)};
        return true;
      }
    }
    return false;
  }

  /// Goes to the first damped step that makes the sum smaller. @return whether there was one
  bool advance(const FitTangent& t) {
    constexpr double first_damping = 1.0, growth = 4.0;
    const double now = sum_at(problem_, best_.point, best_.forecast, t.scatter_factor);
    double damping = 0.0;
    for (int k = 0; k < options_.most_tries; ++k) {
      const std::vector<double> next = step_from(problem_, best_.point, t, damping);
      auto forecast = model_({next}).front();
      if (forecast && sum_at(problem_, next, *forecast, t.scatter_factor) < now) {
        best_ = {next, std::move(*forecast)};
        return true;
      }
      damping = damping == 0.0 ? first_damping : growth * damping;
    }
    return false;
  }

  void finish(const FitTangent& t, const NearModel& around, bool converged) {
    fit_.slopes = around.slopes();
    fit_.covariance = t.covariance;
    fit_.degrees = t.degrees;
    fit_.scatter_factor = t.scatter_factor;
    fit_.told = t.told;
    fit_.numbers = t.numbers;
    fit_.converged = converged;
  }

  const FitProblem& problem_;
  const ForecastModel& model_;
  const FitOptions& options_;
  PriorFit fit_;
  Seen best_;
  std::vector<double> spreads_;  ///< of the posterior, as last seen (factors)
};

}  // namespace

PriorFit fit_with_priors(const FitProblem& problem, const ForecastModel& model,
                         const FitOptions& options) {
  assert(!problem.factors.empty() && !problem.measured.empty());
  return Search(problem, model, options).run();
}

FactorInterval interval_of(const PriorFit& fit, std::size_t factor, double share) {
  const double reach = student_t_quantile(0.5 * (1.0 + share), fit.degrees[factor]) *
                       std::sqrt(fit.covariance[factor][factor]);
  return {std::exp(fit.estimate[factor] - reach), std::exp(fit.estimate[factor] + reach)};
}

}  // namespace firstshot
