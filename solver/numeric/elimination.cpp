#include "solver/numeric/elimination.hpp"

#include <algorithm>
#include <numeric>

namespace firstshot {
namespace {

/// Zeros that a block of columns may hold, in share of its numbers, and columns up to which it
/// does not matter.
constexpr double most_zeros = 0.2;
constexpr int narrow = 4;
/// A subtree with more than this share of the work is divided.
constexpr double largest_piece = 1.0 / 24.0;

/// Numbers in each column of the factor, with the diagonal.
std::vector<int> column_counts(const LowerRows& rows, std::span<const int> parent) {
  const int n = rows.size();
  std::vector<int> count(n, 1), seen(n, -1);
  for (int k = 0; k < n; ++k) {
    seen[k] = k;
    for (int e = rows.start[k]; e < rows.start[k + 1]; ++e)
      for (int i = rows.left[e]; seen[i] != k; i = parent[i]) {
        seen[i] = k;
        ++count[i];
      }
  }
  return count;
}

/// First columns of the blocks: columns with the same pattern, then blocks whose union holds few
/// zeros.
std::vector<int> first_columns(std::span<const int> parent, std::span<const int> count) {
  const int n = static_cast<int>(parent.size());
  std::vector<int> exact;
  for (int j = 0; j < n; ++j)
    if (j == 0 || parent[j - 1] != j || count[j - 1] != count[j] + 1) exact.push_back(j);
  exact.push_back(n);
  std::vector<int> first;
  double zeros = 0.0;
  for (std::size_t s = 0; s + 1 < exact.size(); ++s) {
    const int begin = exact[s];
    const int last = exact[s + 1] - 1;
    if (!first.empty() && parent[begin - 1] == begin) {
      const double left = begin - first.back();
      const double width = exact[s + 1] - first.back();
      const double below = count[last] - 1;
      const double more = zeros + left * (count[begin] + 1 - count[begin - 1]);
      const double all = 0.5 * width * (width + 1.0) + width * below;
      if (width <= narrow || more <= most_zeros * all) {
        zeros = more;
        continue;
      }
    }
    first.push_back(begin);
    zeros = 0.0;
  }
  first.push_back(n);
  return first;
}

void find_places(Supernodes& s) {
  s.up.assign(s.count(), -1);
  s.place.resize(s.rows.size());
  for (int b = 0; b < s.count(); ++b) {
    if (s.height(b) == 0) continue;
    const int up = s.of_column[s.rows[s.row_start[b]]];
    s.up[b] = up;
    int k = s.row_start[up];
    for (int r = s.row_start[b]; r < s.row_start[b + 1]; ++r) {
      const int row = s.rows[r];
      if (row < s.first[up + 1]) {
        s.place[r] = row - s.first[up];
        continue;
      }
      while (s.rows[k] < row) ++k;
      s.place[r] = s.width(up) + k - s.row_start[up];
    }
  }
}

/// Divides the forest of blocks into pieces of little work and the blocks above them.
void divide(Supernodes& s) {
  const int n = s.count();
  std::vector<int> lowest(n);
  std::vector<double> work(n);
  std::iota(lowest.begin(), lowest.end(), 0);
  double total = 0.0;
  for (int b = 0; b < n; ++b) {
    const double all = s.width(b) + s.height(b);
    work[b] += s.width(b) * all * all;
    const int up = s.up[b];
    if (up < 0) {
      total += work[b];
      continue;
    }
    work[up] += work[b];
    lowest[up] = std::min(lowest[up], lowest[b]);
  }
  for (int b = n - 1; b >= 0; --b) {
    if (work[b] > largest_piece * total && lowest[b] < b) {
      s.top.push_back(b);
      continue;
    }
    s.piece_first.push_back(lowest[b]);
    s.piece_last.push_back(b + 1);
    b = lowest[b];
  }
  std::reverse(s.top.begin(), s.top.end());
}

}  // namespace

std::vector<int> elimination_tree(const LowerRows& rows) {
  const int n = rows.size();
  std::vector<int> parent(n, -1), shortcut(n, -1);
  for (int k = 0; k < n; ++k)
    for (int e = rows.start[k]; e < rows.start[k + 1]; ++e)
      for (int i = rows.left[e]; i != k;) {
        const int next = shortcut[i];
        shortcut[i] = k;
        if (next < 0) {
          parent[i] = k;
          break;
        }
        i = next;
      }
  return parent;
}

std::vector<int> post_order(std::span<const int> parent) {
  const int n = static_cast<int>(parent.size());
  std::vector<int> child(n + 1, -1), sibling(n, -1);  // place n: the roots
  for (int j = n - 1; j >= 0; --j) {
    const int above = parent[j] < 0 ? n : parent[j];
    sibling[j] = child[above];
    child[above] = j;
  }
  std::vector<int> order, path;
  order.reserve(n);
  for (int root = child[n]; root >= 0; root = sibling[root]) {
    path.push_back(root);
    while (!path.empty()) {
      const int j = path.back();
      if (child[j] >= 0) {
        path.push_back(child[j]);
        child[j] = sibling[child[j]];
      } else {
        order.push_back(j);
        path.pop_back();
      }
    }
  }
  return order;
}

Supernodes supernodes(const LowerRows& rows) {
  const int n = rows.size();
  const std::vector<int> parent = elimination_tree(rows);
  const std::vector<int> count = column_counts(rows, parent);
  Supernodes s;
  s.first = first_columns(parent, count);
  const int blocks = s.count();
  s.of_column.resize(n);
  s.row_start.assign(blocks + 1, 0);
  for (int b = 0; b < blocks; ++b) {
    std::fill(s.of_column.begin() + s.first[b], s.of_column.begin() + s.first[b + 1], b);
    const int below = count[s.first[b + 1] - 1] - 1;
    s.row_start[b + 1] = s.row_start[b] + below;
  }
  s.rows.resize(s.row_start[blocks]);
  std::vector<int> next(s.row_start.begin(), s.row_start.end() - 1), seen(blocks, -1);
  for (int k = 0; k < n; ++k) {
    const int own = s.of_column[k];
    for (int e = rows.start[k]; e < rows.start[k + 1]; ++e) {
      int b = s.of_column[rows.left[e]];
      while (b != own && seen[b] != k) {
        seen[b] = k;
        s.rows[next[b]++] = k;
        b = s.of_column[parent[s.first[b + 1] - 1]];
      }
    }
  }
  find_places(s);
  divide(s);
  return s;
}

}  // namespace firstshot
