#include <random>

#include <catch2/catch.hpp>

#include "io/paged_file.hpp"
#include "tests/io/sample_run.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;
using sample::error_of;

namespace {

constexpr auto open_mode = PagedFile::Mode::open;
constexpr auto create_mode = PagedFile::Mode::create;

std::string content(const PagedFile& file) {
  std::string out(file.size(), '?');
  REQUIRE(file.read(0, out));
  return out;
}

}  // namespace

TEST_CASE("changes are seen at once and reach the disk only when written out", "[io][paged_file]") {
  const sample::TemporaryFolder folder;
  sample::write_text(folder / "f", "0123456789");
  PagedFile file(folder / "f", open_mode, "f");
  REQUIRE(file.write(8, std::string("ab")));
  REQUIRE(file.write(12, std::string("c")));
  const std::string expected("01234567ab\0\0c", 13);
  CHECK(content(file) == expected);
  CHECK(sample::read_text(folder / "f") == "0123456789");
  file.write_out();
  CHECK(sample::read_text(folder / "f") == expected);
}

TEST_CASE("a long run of random changes gives the bytes that a plain string gives",
          "[io][paged_file]") {
  const sample::TemporaryFolder folder;
  std::mt19937 random(7);  // any seed
  const auto up_to = [&](unsigned n) { return static_cast<unsigned>(random() % n); };
  std::string expected;
  for (int session = 0; session < 5; ++session) {
    PagedFile file(folder / "f", session == 0 ? create_mode : open_mode, "f");
    CHECK((content(file) == expected));
    for (int i = 0; i < 60; ++i) {
      if (up_to(6) == 0) {
        const std::size_t size = up_to(400000);
        file.resize(size);
        expected.resize(size, '\0');
        continue;
      }
      const std::size_t at = up_to(300000);
      const std::string bytes(up_to(150000), static_cast<char>('a' + up_to(26)));
      REQUIRE(file.write(at, bytes));
      if (bytes.empty()) continue;
      expected.resize(std::max(expected.size(), at + bytes.size()), '\0');
      expected.replace(at, bytes.size(), bytes);
    }
    CHECK((content(file) == expected));
    file.write_out();
    CHECK((sample::read_text(folder / "f") == expected));
  }
}

TEST_CASE("bytes beyond the end read as zeros", "[io][paged_file][limit]") {
  const sample::TemporaryFolder folder;
  sample::write_text(folder / "f", "01");
  const PagedFile file(folder / "f", open_mode, "f");
  std::string bytes(4, '?');
  CHECK(file.read(1, bytes));
  CHECK(bytes == std::string("1\0\0\0", 4));
}

TEST_CASE("a full disk is met when writing out, with the name to show", "[io][paged_file][limit]") {
  const sample::TemporaryFolder folder;
  PagedFile file(folder / "f", create_mode, "shown.h5");
  REQUIRE(file.write(0, std::string(200000, 'x')));
  const sample::FileSizeLimit limit(1000);
  CHECK_THAT(error_of([&] { file.write_out(); }),
             Contains("cannot write \"shown.h5\"") && Contains("File too large"));
}

TEST_CASE("a disk that refuses a change inside the file is met as well",
          "[io][paged_file][limit]") {
  const sample::TemporaryFolder folder;
  sample::write_text(folder / "f", std::string(200000, 'x'));
  PagedFile file(folder / "f", open_mode, "shown.h5");
  REQUIRE(file.write(100000, std::string("change")));
  const sample::FileSizeLimit limit(1000);
  CHECK_THAT(error_of([&] { file.write_out(); }), Contains("cannot write \"shown.h5\""));
}

TEST_CASE("a file that cannot be opened is named with the reason", "[io][paged_file]") {
  const sample::TemporaryFolder folder;
  CHECK_THAT(error_of([&] { PagedFile(folder / "none", open_mode, "none"); }),
             Contains("\"none\"") && Contains("No such file or directory"));
  CHECK_THAT(error_of([&] { PagedFile(folder.path(), open_mode, "folder"); }),
             Contains("\"folder\"") && Contains("Is a directory"));
}
