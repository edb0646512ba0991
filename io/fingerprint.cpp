#include "io/fingerprint.hpp"

#include "io/section_columns.hpp"

namespace firstshot {
namespace {

constexpr std::uint64_t fnv_prime = 0x100000001b3U;  // FNV's 64-bit prime

template <class T>
void add_value(Fingerprint& mark, const T& value) {
  mark.add_bytes(&value, sizeof value);
}
template <class T>
void add_values(Fingerprint& mark, std::span<const T> values) {
  add_value(mark, values.size());
  mark.add_bytes(values.data(), values.size_bytes());
}

void add_lines(Fingerprint& mark, const LineField<LineElement>& lines) {
  add_value(mark, lines.size());
  for (const LineElement& line : lines.span()) {
    add_value(mark, line.from);
    add_value(mark, line.to);
    add_value(mark, line.length);
    add_value(mark, line.channel);
    add_value(mark, line.entrance_radius);
  }
  for (const bool at_start : {true, false}) {
    const SectionColumns columns = section_columns(lines, at_start);
    add_values(mark, std::span<const std::int32_t>(columns.kind));
    add_values(mark, std::span<const double>(columns.width));
    add_values(mark, std::span<const double>(columns.depth));
    add_values(mark, std::span<const double>(columns.draft));
  }
}

}  // namespace

void Fingerprint::add_bytes(const void* bytes, std::size_t n) {
  const auto* begin = static_cast<const unsigned char*>(bytes);
  for (std::size_t i = 0; i < n; ++i) hash_ = (hash_ ^ begin[i]) * fnv_prime;
}

void Fingerprint::add(std::string_view text) {
  add_bytes(text.data(), text.size());
  add_bytes("", 1);
}

std::string Fingerprint::hex() const {
  constexpr int bits = 64, bits_per_digit = 4;
  std::string out;
  for (int shift = bits - bits_per_digit; shift >= 0; shift -= bits_per_digit)
    out += "0123456789abcdef"[(hash_ >> shift) & 0xfU];
  return out;
}

std::string model_fingerprint(const Model& model) {
  Fingerprint mark;
  add_values(mark, model.mesh.points.span());
  add_values(mark, model.mesh.triangles.span());
  add_values(mark, model.mesh.region.span());
  add_values(mark, model.thickness.span());
  for (const Region& region : model.regions) {
    mark.add(region.name);
    add_value(mark, region.role);
    add_value(mark, region.visible);
  }
  for (const Channel& channel : model.channels) {
    mark.add(channel.name);
    add_value(mark, channel.role);
    add_value(mark, channel.feeds);
  }
  add_lines(mark, model.lines);
  add_values(mark, model.node_of_vertex.span());
  add_values(mark, model.position.span());
  add_value(mark, model.injection);
  add_values(mark, std::span<const std::array<VertexId, 2>>(model.open_sides));
  if (!model.relief.empty()) {
    add_values(mark, model.mesh.slope.span());
    add_values(mark, model.relief.span());
    add_values(mark, model.lower.span());
    add_values(mark, model.upper.span());
    add_values(mark, model.entrance.span());
  }
  return mark.hex();
}

}  // namespace firstshot
