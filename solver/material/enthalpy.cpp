#include "solver/material/enthalpy.hpp"

#include <cassert>

namespace firstshot {

namespace {
constexpr double zero_celsius = 273.15;
}

Enthalpy::Enthalpy(const HeatCapacity& capacity) {
  const auto& T = capacity.temperature;
  const auto& c = capacity.value;
  assert(!T.empty() && T.size() == c.size());
  pieces_.push_back({T.front(), c.front(), 0.0, 0.0});  // flat, below the first point
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < T.size(); ++i) {
    const double width = T[i + 1] - T[i];
    pieces_.push_back({T[i], c[i], (c[i + 1] - c[i]) / width, sum});
    sum += 0.5 * (c[i] + c[i + 1]) * width;
  }
  pieces_.push_back({T.back(), c.back(), 0.0, sum});
  zero_ = at(zero_celsius);
}

const Enthalpy::Piece& Enthalpy::piece(double T) const {
  std::size_t i = pieces_.size() - 1;
  while (i > 0 && T < pieces_[i].begin) --i;
  return pieces_[i];
}

double Enthalpy::at(double T) const {
  const Piece& p = piece(T);
  const double t = T - p.begin;
  return p.sum + t * (p.value + 0.5 * p.slope * t) - zero_;
}

HeatContent Enthalpy::content(double T) const {
  const Piece& p = piece(T);
  const double t = T - p.begin;
  return {p.sum + t * (p.value + 0.5 * p.slope * t) - zero_, p.value + p.slope * t};
}

double Enthalpy::capacity(double T) const {
  const Piece& p = piece(T);
  return p.value + p.slope * (T - p.begin);
}

}  // namespace firstshot
