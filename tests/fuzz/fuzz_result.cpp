// A damaged result file. Allowed: our Error, or values that fit their lists.
//
// The input is a list of changes to a good file that is written anew at the start, so that the
// corpus does not age with the format. Its first byte chooses:
//   'b'  bytes: 5 bytes each, place (3 bytes, from the end when the first bit is set), two new ones
//   'c'  cut: the file ends at the place that follows
//   'd'  datasets: 4 bytes each, which one, how it is replaced, how many values, which value; the
//        file is sealed again, so that the reader's own checks meet the change
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <limits>
#include <map>
#include <span>
#include <string>
#include <vector>

#include "io/fingerprint.hpp"
#include "io/report_html.hpp"
#include "io/result_h5.hpp"
#include "io/result_reader.hpp"
#include "io/seal.hpp"
#include "tests/io/sample_run.hpp"

namespace {

using namespace firstshot;
using Bytes = std::span<const std::uint8_t>;

/// Names of all datasets below a group; the groups on the way as well, parents first.
void list(const H5File& file, const std::string& group, std::vector<std::string>& groups,
          std::vector<std::string>& datasets) {
  std::vector<std::string> below;
  try {
    below = file.members(group);
  } catch (const Error&) {
    datasets.push_back(group);
    return;
  }
  groups.push_back(group);
  for (const std::string& name : below) list(file, group + "/" + name, groups, datasets);
}

struct Sample {
  sample::TemporaryFolder folder;
  std::string bytes;
  std::vector<std::string> groups, datasets;

  Sample() {
    const Setup setup = sample::setup();
    ResultFile file = ResultFile::create(folder / "good.h5", sample::record(), setup.model);
    for (int number = 1; number <= 2; ++number) {
      const State state = sample::state(setup, number);
      file.append_step(step_record({setup, state, sample::history(number), true}, number),
                       sample::fields(setup.model, number));
    }
    file.write_result(sample::result(setup, 2, Outcome::pressure_limit), "{\"a\": 1}\n");
    bytes = sample::read_text(folder / "good.h5");
    const H5File good = H5File::open(folder / "good.h5");
    for (const std::string& name : good.members("/")) list(good, "/" + name, groups, datasets);
  }
};

std::size_t place(Bytes from, std::size_t size) {
  const std::size_t at = ((from[0] & 0x7fU) * 65536U + from[1] * 256U + from[2]) % size;
  return (from[0] & 0x80U) != 0 ? size - 1 - at : at;
}

std::string with_changed_bytes(std::string bytes, Bytes changes) {
  for (; changes.size() >= 5; changes = changes.subspan(5)) {
    const std::size_t at = place(changes, bytes.size());
    bytes[at] = static_cast<char>(changes[3]);
    if (at + 1 < bytes.size()) bytes[at + 1] = static_cast<char>(changes[4]);
  }
  return bytes;
}

/// Writes something else where a dataset was, or nothing.
void replace(H5File& file, const std::string& name, Bytes change) {
  constexpr double odd[] = {0.0, 1.0, -1.0, 0.5, 3.0, 1e300, 5e-324, 2147483647.0};
  const std::size_t n = change[2];
  double value = odd[change[3] % 8];
  if (change[3] % 16 == 8) value = std::nan("");
  if (change[3] % 16 == 9) value = std::numeric_limits<double>::infinity();
  const auto whole = static_cast<std::int32_t>(std::isfinite(value) ? std::fmod(value, 2e9) : -7);
  const std::string text(n, static_cast<char>(change[3]));
  switch (change[1] % 9) {
    case 0:
      return;
    case 1:
      return file.write(name, std::vector<double>(n, value), "1");
    case 2:
      return file.write(name, std::vector<double>(2 * n, value), "1", 2);
    case 3:
      return file.write(name, std::vector<double>(3 * n, value), "1", 3);
    case 4:
      return file.write(name, std::vector<std::int32_t>(n, whole), "1");
    case 5:
      return file.write(name, std::vector<std::int32_t>(3 * n, whole), "1", 3);
    case 6:
      return file.write_scalar(name, value, "1");
    case 7:
      return file.write_scalar(name, std::int64_t{whole}, "1");
    default:
      return change[3] % 2 == 0 ? file.write_text(name, text)
                                : file.write_texts(name, std::vector<std::string>(n, text));
  }
}

void write_with_other_datasets(const Sample& good, const std::filesystem::path& path,
                               Bytes changes) {
  std::map<std::size_t, Bytes> change_of;
  for (; changes.size() >= 4; changes = changes.subspan(4))
    change_of[changes[0] % good.datasets.size()] = changes.first(4);
  const H5File old = H5File::open(good.folder / "good.h5");
  H5File file = H5File::create(path);
  file.set_attribute("format", old.attribute("format"));
  file.set_attribute("format_version", old.integer_attribute("format_version"));
  for (const std::string& group : good.groups) file.make_group(group);
  for (std::size_t i = 0; i < good.datasets.size(); ++i) {
    const auto change = change_of.find(i);
    if (change == change_of.end())
      file.copy_from(old, good.datasets[i]);
    else
      replace(file, good.datasets[i], change->second);
  }
  file.close();
  add_seal(path, path);
}

/// Every function of the reader, each with its own chance to fail.
void read_all(const std::filesystem::path& file) {
  const auto attempt = [](auto&& action) {
    try {
      action();
    } catch (const Error&) {
      // what is promised
    }
  };
  attempt([&] {
    const ResultReader reader(file);
    attempt([&] { reader.stored_case(); });
    attempt([&] { model_fingerprint(reader.model()); });
    attempt([&] {
      for (const StepRecord& step : reader.steps()) reader.fields(step.number);
    });
    attempt([&] { reader.history(); });
    attempt([&] { reader.checkpoint(); });
    attempt([&] { reader.result(); });
    attempt([&] { reader.summary(); });
  });
  attempt([&] { report_html(std::vector{file}, ""); });
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const Sample good;
  static const std::filesystem::path file = good.folder / "damaged.h5";
  if (size == 0) return 0;
  const Bytes changes(data + 1, size - 1);
  if (data[0] == 'd')
    write_with_other_datasets(good, file, changes);
  else if (data[0] == 'c' && changes.size() >= 3)
    sample::write_text(file, good.bytes.substr(0, place(changes, good.bytes.size())));
  else
    sample::write_text(file, with_changed_bytes(good.bytes, changes));
  read_all(file);
  return 0;
}
