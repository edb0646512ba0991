#include <catch2/catch.hpp>

#include "io/atomic_file.hpp"
#include "tests/io/sample_run.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;
using sample::error_of;

namespace {

std::size_t entries(const std::filesystem::path& folder) {
  return static_cast<std::size_t>(std::distance(std::filesystem::directory_iterator(folder), {}));
}

}  // namespace

TEST_CASE("a file is replaced as a whole and nothing else is left beside it", "[io][atomic_file]") {
  const sample::TemporaryFolder folder;
  const std::string bytes("a\0b\n", 4);
  write_atomically(folder / "x.json", "first, longer than the second");
  write_atomically(folder / "x.json", bytes);
  CHECK(sample::read_text(folder / "x.json") == bytes);
  CHECK(entries(folder.path()) == 1);
}

TEST_CASE("a full disk leaves the old file, no remains, and one clear error",
          "[io][atomic_file][limit]") {
  const sample::TemporaryFolder folder;
  write_atomically(folder / "x.json", "old");
  std::string message;
  {
    const sample::FileSizeLimit limit(1000);
    message = error_of([&] { write_atomically(folder / "x.json", std::string(5000, 'n')); });
  }
  CHECK_THAT(message, Contains("x.json\"") && Contains("File too large"));
  CHECK(sample::read_text(folder / "x.json") == "old");
  CHECK(entries(folder.path()) == 1);
}

TEST_CASE("copying to a full disk leaves no half copy", "[io][atomic_file][limit]") {
  const sample::TemporaryFolder folder;
  sample::write_text(folder / "from", std::string(5000, 'n'));
  {
    const sample::FileSizeLimit limit(1000);
    CHECK_THAT(error_of([&] { copy_bytes(folder / "from", folder / "to", "shown"); }),
               Contains("\"shown\""));
  }
  CHECK(entries(folder.path()) == 1);
  copy_bytes(folder / "from", folder / "to", folder / "to");
  CHECK(sample::read_text(folder / "to") == std::string(5000, 'n'));
}

TEST_CASE("a folder that is not there is named in the error", "[io][atomic_file]") {
  const sample::TemporaryFolder folder;
  CHECK_THAT(error_of([&] { write_atomically(folder / "none/x.json", "text"); }),
             Contains("none/x.json") && Contains("No such file or directory"));
  CHECK_THAT(error_of([&] { copy_bytes(folder / "none", folder / "to", folder / "to"); }),
             Contains("cannot read") && Contains("none"));
}

TEST_CASE("a target that is a folder is refused and left alone", "[io][atomic_file]") {
  const sample::TemporaryFolder folder;
  std::filesystem::create_directory(folder / "x.json");
  CHECK_THAT(error_of([&] { write_atomically(folder / "x.json", "text"); }), Contains("x.json"));
  CHECK(entries(folder.path()) == 1);
}

TEST_CASE("only names of temporary files are taken for temporary files", "[io][atomic_file]") {
  const std::string name = temporary_name("steps/fill_0001.vtu").filename().string();
  CHECK(is_temporary_of(name, "fill_0001.vtu"));
  CHECK(is_temporary_of("a.json.1.tmp", "a.json"));
  for (const char* other :
       {"a.json", "a.json.tmp", "a.json..tmp", "a.json.1x.tmp", "b.json.1.tmp", "a.json.1"})
    CHECK_FALSE(is_temporary_of(other, "a.json"));
}
