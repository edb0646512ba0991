#include "solver/numeric/sparse_ldlt.hpp"

#include <algorithm>
#include <array>
#include <cstring>

#include "solver/numeric/parallel.hpp"
#include "solver/numeric/parallel_each.hpp"

namespace firstshot {
namespace {

/// From this many columns on, pieces go to several threads.
constexpr int columns_for_threads = 1500;
/// Columns that are subtracted together.
constexpr int depth = 4;

/// Columns of numbers, each `stride` behind the one before it.
template <class T>
struct Columns {
  T* first;
  std::ptrdiff_t stride;
  Columns from(std::ptrdiff_t column, std::ptrdiff_t row) const {
    return {first + column * stride + row, stride};
  }
};
using Read = Columns<const double>;
using Write = Columns<double>;

/// Two columns of C - M D Mᵀ, K columns of M: rows 0 … count - 1.
template <int K>
void subtract_two(Read m, const double* by_a, const double* by_b, int count, Write c) {
  double* const a = c.first;
  double* const b = c.first + c.stride;
  for (int i = 0; i < count; ++i) {
    double sum_a = m.first[i] * by_a[0];
    double sum_b = m.first[i] * by_b[0];
    for (int k = 1; k < K; ++k) {
      sum_a += m.first[k * m.stride + i] * by_a[k];
      sum_b += m.first[k * m.stride + i] * by_b[k];
    }
    a[i] -= sum_a;
    b[i] -= sum_b;
  }
}

template <int K>
void subtract_one(Read m, const double* by, int count, double* a) {
  for (int i = 0; i < count; ++i) {
    double sum = m.first[i] * by[0];
    for (int k = 1; k < K; ++k) sum += m.first[k * m.stride + i] * by[k];
    a[i] -= sum;
  }
}

/// Lower triangle of c (size, size) -= M D Mᵀ for K columns of M with the given pivots.
template <int K>
void subtract_square(Read m, const double* pivot, int size, Write c) {
  std::array<double, K> a{}, b{};
  int j = 0;
  for (; j + 1 < size; j += 2) {
    for (int k = 0; k < K; ++k) {
      a[k] = pivot[k] * m.first[k * m.stride + j];
      b[k] = pivot[k] * m.first[k * m.stride + j + 1];
    }
    subtract_two<K>(m.from(0, j), a.data(), b.data(), size - j, c.from(j, j));
  }
  if (j == size) return;
  for (int k = 0; k < K; ++k) a[k] = pivot[k] * m.first[k * m.stride + j];
  subtract_one<K>(m.from(0, j), a.data(), size - j, c.from(j, j).first);
}

/// The same for up to `depth` columns.
void subtract_columns(Read m, const double* pivot, int columns, int size, Write c) {
  switch (columns) {
    case 4:
      return subtract_square<4>(m, pivot, size, c);
    case 3:
      return subtract_square<3>(m, pivot, size, c);
    case 2:
      return subtract_square<2>(m, pivot, size, c);
    default:
      return subtract_square<1>(m, pivot, size, c);
  }
}

}  // namespace

void SparseLdlt::set_pattern(const LowerRows& rows) {
  blocks_ = supernodes(rows);
  const int blocks = blocks_.count();
  at_.assign(1, 0);
  child_.assign(blocks, -1);
  sibling_.assign(blocks, -1);
  for (int b = blocks - 1; b >= 0; --b) {
    const int up = blocks_.up[b];
    if (up < 0) continue;
    sibling_[b] = child_[up];
    child_[up] = b;
  }
  for (int b = 0; b < blocks; ++b) {
    const auto width = static_cast<std::size_t>(blocks_.width(b));
    at_.push_back(at_.back() + width * (width + static_cast<std::size_t>(blocks_.height(b))));
  }
  values_.resize(at_.back());
  pivot_inverse_.resize(rows.size());
  active_.resize(blocks);
  trivial_.resize(blocks);
  find_space();
  find_entries(rows);
}

/// Each piece has a stack of its own, and so has what stands above them.
void SparseLdlt::find_space() {
  const int blocks = blocks_.count();
  made_at_.resize(blocks);
  waits_at_.resize(blocks);
  std::vector<int> owner(blocks, -1);  // piece of each block
  for (std::size_t p = 0; p < blocks_.piece_first.size(); ++p)
    std::fill(owner.begin() + blocks_.piece_first[p], owner.begin() + blocks_.piece_last[p],
              static_cast<int>(p));
  std::size_t begin = 0;
  const auto stack = [&](auto&& each_block) {
    std::size_t top = begin, highest = begin;
    each_block([&](int b) {
      made_at_[b] = waits_at_[b] = top;
      const auto height = static_cast<std::size_t>(blocks_.height(b));
      highest = std::max(highest, top + height * (height + 1));
      for (int c = child_[b]; c >= 0; c = sibling_[c])
        if (owner[c] == owner[b]) waits_at_[b] = std::min(waits_at_[b], waits_at_[c]);
      top = waits_at_[b] + height * (height + 1);
    });
    begin = highest;
  };
  for (std::size_t p = 0; p < blocks_.piece_first.size(); ++p)
    stack([&](auto&& place) {
      for (int b = blocks_.piece_first[p]; b < blocks_.piece_last[p]; ++b) place(b);
    });
  stack([&](auto&& place) {
    for (const int b : blocks_.top) place(b);
  });
  space_.resize(begin);
}

void SparseLdlt::find_entries(const LowerRows& rows) {
  const int blocks = blocks_.count();
  entry_start_.assign(blocks + 1, 0);
  for (const int column : rows.left) ++entry_start_[blocks_.of_column[column] + 1];
  for (int b = 0; b < blocks; ++b) entry_start_[b + 1] += entry_start_[b];
  entry_.resize(rows.left.size());
  entry_place_.resize(rows.left.size());
  std::vector<int> next(entry_start_.begin(), entry_start_.end() - 1);
  std::vector<int> below(blocks_.row_start.begin(), blocks_.row_start.end() - 1);
  for (int k = 0; k < rows.size(); ++k)
    for (int e = rows.start[k]; e < rows.start[k + 1]; ++e) {
      const int column = rows.left[e];
      const int b = blocks_.of_column[column];
      int place = k - blocks_.first[b];
      if (k >= blocks_.first[b + 1]) {
        while (blocks_.rows[below[b]] < k) ++below[b];
        place = blocks_.width(b) + below[b] - blocks_.row_start[b];
      }
      entry_[next[b]] = e;
      entry_place_[next[b]++] =
          (column - blocks_.first[b]) * (blocks_.width(b) + blocks_.height(b)) + place;
    }
}

/// Entries of the matrix and what the blocks under this one left over.
void SparseLdlt::gather(int block, const Entries& in, double* left_over) {
  const int width = blocks_.width(block);
  const int first = blocks_.first[block];
  const std::ptrdiff_t height = blocks_.height(block);
  const std::ptrdiff_t stride = width + height;
  double* const panel = values_.data() + at_[block];
  std::fill(panel, values_.data() + at_[block + 1], 0.0);
  std::fill(left_over, left_over + height * (height + 1), 0.0);
  for (int j = 0; j < width; ++j) panel[j * stride + j] = in.diagonal[first + j];
  for (int e = entry_start_[block]; e < entry_start_[block + 1]; ++e)
    panel[entry_place_[e]] += in.left[entry_[e]];
  double* const right = left_over + height * height;
  for (int c = child_[block]; c >= 0; c = sibling_[c]) {
    if (active_[c] == 0) continue;
    const int size = blocks_.height(c);
    const int* place = blocks_.place.data() + blocks_.row_start[c];
    const double* from = space_.data() + waits_at_[c];
    for (int j = 0; j < size; ++j, from += size) {
      double* const to = place[j] < width ? panel + place[j] * stride
                                          : left_over + (place[j] - width) * height - width;
      for (int i = j; i < size; ++i) to[place[i]] += from[i];
    }
    for (int j = 0; j < size; ++j) {
      if (place[j] < width)
        in.x[first + place[j]] += from[j];
      else
        right[place[j] - width] += from[j];
    }
  }
}

/// L and D of the block's columns, in place; x goes along.
bool SparseLdlt::factorise(int block, std::span<double> x) {
  const int width = blocks_.width(block);
  const int first = blocks_.first[block];
  const std::ptrdiff_t stride = width + blocks_.height(block);
  double* const panel = values_.data() + at_[block];
  for (int j = 0; j < width; ++j) {
    double* const column = panel + j * stride;
    const double pivot = column[j];
    if (!(pivot > 0.0)) return false;
    const double inverse = 1.0 / pivot;
    pivot_inverse_[first + j] = inverse;
    for (int k = j + 1; k < width; ++k) {
      const double factor = column[k] * inverse;
      double* const to = panel + k * stride;
      for (std::ptrdiff_t i = k; i < stride; ++i) to[i] -= factor * column[i];
      x[first + k] -= factor * x[first + j];
    }
    for (std::ptrdiff_t i = j + 1; i < stride; ++i) column[i] *= inverse;
  }
  return true;
}

bool SparseLdlt::eliminate(int block, const Entries& in) {
  const int width = blocks_.width(block);
  const int first = blocks_.first[block];
  const std::ptrdiff_t height = blocks_.height(block);
  double* const left_over = space_.data() + made_at_[block];
  gather(block, in, left_over);
  double* const right = left_over + height * height;
  if (trivial_[block] == 0) {
    if (!factorise(block, in.x)) return false;
    const std::ptrdiff_t stride = width + height;
    const double* below = values_.data() + at_[block] + width;
    std::array<double, depth> pivot{};
    for (int k = 0; k < width; k += depth) {
      const int here = std::min(depth, width - k);
      for (int i = 0; i < here; ++i) pivot[i] = 1.0 / pivot_inverse_[first + k + i];
      subtract_columns({below + k * stride, stride}, pivot.data(), here, static_cast<int>(height),
                       {left_over, height});
    }
    for (int k = 0; k < width; ++k)
      for (std::ptrdiff_t i = 0; i < height; ++i)
        right[i] -= below[k * stride + i] * in.x[first + k];
  }
  if (waits_at_[block] != made_at_[block])
    std::copy(left_over, right + height, space_.data() + waits_at_[block]);
  return true;
}

/// Blocks that take part: what stands above them must hand on what they leave over.
void SparseLdlt::find_active(std::span<const std::uint8_t> takes_part) {
  parallel_for(static_cast<std::size_t>(blocks_.count()), [&](std::size_t k) {
    const int b = static_cast<int>(k);
    const auto begin = takes_part.begin() + blocks_.first[b];
    const bool own = std::any_of(begin, begin + blocks_.width(b), [](auto t) { return t != 0; });
    trivial_[b] = own ? 0 : 1;
    active_[b] = own ? 1 : 0;
  });
  for (int b = 0; b < blocks_.count(); ++b) {
    for (int c = child_[b]; c >= 0 && active_[b] == 0; c = sibling_[c]) active_[b] = active_[c];
  }
}

template <class F>
void SparseLdlt::for_pieces(F&& f) const {
  if (pivot_inverse_.size() >= columns_for_threads)
    return parallel_each(blocks_.piece_first.size(), f);
  for (std::size_t p = 0; p < blocks_.piece_first.size(); ++p) f(p);
}

bool SparseLdlt::solve(std::span<const double> left, std::span<const double> diagonal,
                       std::span<const std::uint8_t> takes_part, std::span<double> x) {
  const Entries in{left, diagonal, x};
  find_active(takes_part);
  std::vector<std::uint8_t> good(blocks_.piece_first.size(), 1);
  for_pieces([&](std::size_t p) {
    for (int b = blocks_.piece_first[p]; b < blocks_.piece_last[p] && good[p] != 0; ++b)
      if (active_[b] != 0) good[p] = eliminate(b, in) ? 1 : 0;
  });
  if (std::any_of(good.begin(), good.end(), [](std::uint8_t g) { return g == 0; })) return false;
  for (const int b : blocks_.top)
    if (active_[b] != 0 && !eliminate(b, in)) return false;
  backward(x);
  return true;
}

/// x of one block from those to the right of it: x = L⁻ᵀ (D⁻¹ z - Mᵀ x).
void SparseLdlt::back(int block, std::span<double> x, std::vector<double>& right) const {
  const int width = blocks_.width(block);
  const int first = blocks_.first[block];
  const std::ptrdiff_t stride = width + blocks_.height(block);
  const double* panel = values_.data() + at_[block];
  right.clear();
  for (int r = blocks_.row_start[block]; r < blocks_.row_start[block + 1]; ++r)
    right.push_back(x[blocks_.rows[r]]);
  const auto height = static_cast<std::ptrdiff_t>(right.size());
  for (int j = width - 1; j >= 0; --j) {
    const double* column = panel + j * stride;
    double sum = 0.0;
    for (int i = j + 1; i < width; ++i) sum += column[i] * x[first + i];
    std::array<double, 4> of_four{};
    std::ptrdiff_t i = 0;
    for (; i + 4 <= height; i += 4)
      for (int l = 0; l < 4; ++l) of_four[l] += column[width + i + l] * right[i + l];
    for (; i < height; ++i) sum += column[width + i] * right[i];
    sum += (of_four[0] + of_four[1]) + (of_four[2] + of_four[3]);
    x[first + j] = x[first + j] * pivot_inverse_[first + j] - sum;
  }
}

void SparseLdlt::backward(std::span<double> x) const {
  std::vector<double> right;
  for (auto b = blocks_.top.rbegin(); b != blocks_.top.rend(); ++b)
    if (trivial_[*b] == 0) back(*b, x, right);
  for_pieces([&](std::size_t p) {
    std::vector<double> mine;
    for (int b = blocks_.piece_last[p] - 1; b >= blocks_.piece_first[p]; --b)
      if (trivial_[b] == 0) back(b, x, mine);
  });
}

void SparseLdlt::solve_again(std::span<double> x) const {
  for (int b = 0; b < blocks_.count(); ++b) {
    if (trivial_[b] != 0) continue;
    const int width = blocks_.width(b);
    const int height = blocks_.height(b);
    const int* rows = blocks_.rows.data() + blocks_.row_start[b];
    const double* column = values_.data() + at_[b];
    double* const own = x.data() + blocks_.first[b];
    for (int j = 0; j < width; ++j, column += width + height) {
      if (own[j] == 0.0) continue;  // most of a pocket's answer begins far from here
      for (int i = j + 1; i < width; ++i) own[i] -= column[i] * own[j];
      for (int r = 0; r < height; ++r) x[rows[r]] -= column[width + r] * own[j];
    }
  }
  backward(x);
}

}  // namespace firstshot
