#include "solver/flow/duct_solution.hpp"

#include <cmath>
#include <utility>
#include <vector>

#include <Eigen/Sparse>

#include "mesh/error.hpp"
#include "solver/flow/duct_elements.hpp"

namespace firstshot {
namespace {

using Matrix = Eigen::SparseMatrix<double>;
using Vector = Eigen::VectorXd;
using Block = Eigen::Matrix<double, 9, 9>;

// Velocity gradient at an integration point [1/s].
std::pair<double, double> gradient(const DuctElement& e, const DuctPoint& q, const Vector& w) {
  double gx = 0.0, gy = 0.0;
  for (int k = 0; k < 9; ++k) {
    if (e.unknown[k] < 0) continue;
    gx += q.dx[k] * w[e.unknown[k]];
    gy += q.dy[k] * w[e.unknown[k]];
  }
  return {gx, gy};
}

// Fluid of index n whose viscosity is (ε² + γ̇²)^((n-1)/2).
struct Fluid {
  double n, eps;
};

// Lower triangle of a matrix over the elements whose values are replaced again and again.
class ElementMatrix {
 public:
  explicit ElementMatrix(const DuctElements& ducts) {
    std::vector<Eigen::Triplet<double>> places;
    for (const DuctElement& e : ducts.elements)
      for (const int a : e.unknown)
        for (const int b : e.unknown)
          if (b >= 0 && a >= b) places.emplace_back(a, b, 0.0);
    matrix_.resize(ducts.n_unknowns, ducts.n_unknowns);
    matrix_.setFromTriplets(places.begin(), places.end());
    for (const DuctElement& e : ducts.elements)
      for (const int a : e.unknown)
        for (const int b : e.unknown)
          slot_.push_back(b >= 0 && a >= b
                              ? static_cast<int>(&matrix_.coeffRef(a, b) - matrix_.valuePtr())
                              : -1);
  }
  void clear() { matrix_.coeffs().setZero(); }
  void add(std::size_t element, const Block& block) {
    const int* slot = &slot_[81 * element];
    for (int k = 0; k < 81; ++k)
      if (slot[k] >= 0) matrix_.valuePtr()[slot[k]] += block(k / 9, k % 9);
  }
  const Matrix& get() const { return matrix_; }

 private:
  Matrix matrix_;
  std::vector<int> slot_;
};

// ∫ φ_i [m²].
Vector load_vector(const DuctElements& ducts) {
  Vector load = Vector::Zero(ducts.n_unknowns);
  for (const DuctElement& e : ducts.elements)
    for (const DuctPoint& q : e.points)
      for (int k = 0; k < 9; ++k)
        if (e.unknown[k] >= 0) load[e.unknown[k]] += q.weight * q.value[k];
  return load;
}

// ∫ (ε² + |∇w|²)^((n+1)/2).
double dissipation(const DuctElements& ducts, const Vector& w, const Fluid& fluid) {
  double sum = 0.0;
  for (const DuctElement& e : ducts.elements)
    for (const DuctPoint& q : e.points) {
      const auto [gx, gy] = gradient(e, q, w);
      sum += q.weight * std::pow(fluid.eps * fluid.eps + gx * gx + gy * gy, 0.5 * (fluid.n + 1.0));
    }
  return sum;
}

// First derivative of dissipation/(n+1) into `force`, second into `tangent`.
void derivatives(const DuctElements& ducts, const Vector& w, const Fluid& fluid, Vector& force,
                 ElementMatrix& tangent) {
  force.setZero();
  tangent.clear();
  for (std::size_t i = 0; i < ducts.elements.size(); ++i) {
    const DuctElement& e = ducts.elements[i];
    Block block = Block::Zero();
    for (const DuctPoint& q : e.points) {
      const auto [gx, gy] = gradient(e, q, w);
      const double s = fluid.eps * fluid.eps + gx * gx + gy * gy;
      const double eta = q.weight * std::pow(s, 0.5 * (fluid.n - 1.0));
      const double along = (fluid.n - 1.0) / s * eta;
      for (int a = 0; a < 9; ++a) {
        if (e.unknown[a] < 0) continue;
        const double slope_a = q.dx[a] * gx + q.dy[a] * gy;
        force[e.unknown[a]] += eta * slope_a;
        for (int b = 0; b < 9; ++b)
          block(a, b) += eta * (q.dx[a] * q.dx[b] + q.dy[a] * q.dy[b]) +
                         along * slope_a * (q.dx[b] * gx + q.dy[b] * gy);
      }
    }
    tangent.add(i, block);
  }
}

void fill_mass(const DuctElements& ducts, ElementMatrix& mass) {
  mass.clear();
  for (std::size_t i = 0; i < ducts.elements.size(); ++i) {
    Block block = Block::Zero();
    for (const DuctPoint& q : ducts.elements[i].points)
      for (int a = 0; a < 9; ++a)
        for (int b = 0; b < 9; ++b) block(a, b) += q.weight * q.value[a] * q.value[b];
    mass.add(i, block);
  }
}

using Factor = Eigen::SimplicialLDLT<Matrix, Eigen::Lower>;

// Smallest λ of K w = λ M w by inverse iteration, started from the flow profile, which is close.
double smallest_eigenvalue(const DuctElements& ducts, const Factor& stiffness, Vector w) {
  ElementMatrix mass(ducts);
  fill_mass(ducts, mass);
  const auto M = mass.get().selfadjointView<Eigen::Lower>();
  constexpr int iterations = 60;
  constexpr double tolerance = 1e-9;
  double eigenvalue = 0.0;
  for (int i = 0; i < iterations; ++i) {
    const Vector load = M * w;
    const Vector next = stiffness.solve(load);
    const double estimate = next.dot(load) / next.dot(M * next);
    const bool settled = std::abs(estimate - eigenvalue) < tolerance * estimate;
    eigenvalue = estimate;
    w = next / next.norm();
    if (settled) break;
  }
  return eigenvalue;
}

// Newton's method with halving for the velocity at gradient G; w is the first guess and the result.
void minimise(const DuctElements& ducts, const Vector& load, const Fluid& fluid, Factor& factor,
              ElementMatrix& tangent, Vector& w) {
  // Energy at a fixed gradient for which the first guess has the best size.
  const double G = dissipation(ducts, w, fluid) / load.dot(w);
  const auto energy = [&](const Vector& v) {
    return dissipation(ducts, v, fluid) / (fluid.n + 1.0) - G * load.dot(v);
  };
  Vector force(w.size());
  double now = energy(w);
  constexpr int iterations = 60;
  constexpr double tolerance = 1e-8;  // of the energy, whose error the flow rate follows
  for (int i = 0; i < iterations; ++i) {
    derivatives(ducts, w, fluid, force, tangent);
    const Vector residual = G * load - force;
    factor.factorize(tangent.get());
    const Vector step = factor.solve(residual);
    const double decrease = residual.dot(step);
    if (decrease < tolerance * std::abs(now)) return;
    double length = 1.0;
    double next = energy(w + step);
    while (next > now - 0.1 * length * decrease && length > 1e-6) {
      length *= 0.5;
      next = energy(w + length * step);
    }
    w += length * step;
    now = next;
  }
  throw Error("the flow through a runner section was not found; its measures are extreme");
}

}  // namespace

DuctSolution solve_duct(const Section& section, double fineness) {
  const DuctElements ducts = duct_elements(section, fineness);
  const Vector load = load_vector(ducts);
  const double half_area = 0.5 * area(section);
  const double D_h = hydraulic_diameter(section);
  ElementMatrix tangent(ducts);
  Factor factor;
  factor.analyzePattern(tangent.get());
  Vector w = Vector::Zero(ducts.n_unknowns);
  Vector force(ducts.n_unknowns);
  derivatives(ducts, w, {1.0, 1.0}, force, tangent);
  factor.factorize(tangent.get());
  w = factor.solve(load);
  DuctSolution result;
  result.eigenvalue = smallest_eigenvalue(ducts, factor, w);
  double n_before = 1.0;
  for (std::size_t i = 0; i < duct_flow_indices.size(); ++i) {
    const double n = duct_flow_indices[i];
    // The profile 1 - r^(1+1/n) of a pipe tells how to flatten the profile found for the index
    // before.
    const double top = w.maxCoeff();
    const double sharper = (1.0 + 1.0 / n) / (1.0 + 1.0 / n_before);
    w = (1.0 - (1.0 - w.array().max(0.0) / top).pow(sharper)).matrix();
    constexpr double rounding_off = 1e-4;  // of the mean shear rate
    const Fluid fluid{n, rounding_off * load.dot(w) / half_area / D_h};
    if (n < 1.0) minimise(ducts, load, fluid, factor, tangent, w);
    const double V = load.dot(w) / half_area;
    const double G = dissipation(ducts, w, {n, 0.0}) / load.dot(w);
    result.shape[i] = std::pow(0.25 * G * D_h, 1.0 / n) * D_h / (8.0 * V);
    n_before = n;
  }
  return result;
}

}  // namespace firstshot
