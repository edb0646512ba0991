// A field is a value per entity and is indexed only by that entity's own id, so that a vertex
// number cannot index a node field by mistake.
//
//   VertexId  point of the triangle mesh                         (n_vertices)
//   TriId     triangle                                           (n_triangles)
//   NodeId    control volume of the solver                       (n_nodes)
//   LineId    1D element of a runner, gate or sprue              (n_lines)
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

namespace firstshot {

enum class VertexId : std::int32_t {};
enum class TriId : std::int32_t {};
enum class NodeId : std::int32_t {};
enum class LineId : std::int32_t {};

/// Position of an entity in its arrays; ids are never negative once assigned.
template <class Id>
constexpr std::size_t index(Id id) {
  return static_cast<std::size_t>(id);
}

template <class Id>
constexpr Id make_id(std::size_t i) {
  return static_cast<Id>(static_cast<std::int32_t>(i));
}

/// A value of type T for each entity that Id numbers; shape (n_entities).
template <class Id, class T>
class Field {
 public:
  Field() = default;
  explicit Field(std::size_t n, const T& value = T{}) : values_(n, value) {}
  explicit Field(std::vector<T> values) : values_(std::move(values)) {}

  T& operator[](Id id) { return values_[index(id)]; }
  const T& operator[](Id id) const { return values_[index(id)]; }
  std::size_t size() const { return values_.size(); }
  bool empty() const { return values_.empty(); }
  void push_back(const T& value) { values_.push_back(value); }

  /// Raw access in the order of the ids, for loops that visit every entity.
  std::span<T> span() { return values_; }
  std::span<const T> span() const { return values_; }
  const std::vector<T>& vector() const { return values_; }
  std::vector<T>& vector() { return values_; }

  bool operator==(const Field&) const = default;

 private:
  std::vector<T> values_;
};

template <class T>
using VertexField = Field<VertexId, T>;
template <class T>
using TriField = Field<TriId, T>;
template <class T>
using NodeField = Field<NodeId, T>;
template <class T>
using LineField = Field<LineId, T>;

}  // namespace firstshot
