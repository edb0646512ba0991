#include <bit>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <limits>

#include <catch2/catch.hpp>
#include <sys/wait.h>
#include <unistd.h>

#include "io/h5_file.hpp"
#include "tests/io/sample_run.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;
using sample::error_of;

namespace {

/// What this process writes to the error stream while the object lives.
class ErrorStream {
 public:
  explicit ErrorStream(const std::filesystem::path& file)
      : saved_(::dup(STDERR_FILENO)), file_(file) {
    std::fflush(stderr);
    FILE* const out = std::fopen(file.c_str(), "w");
    ::dup2(::fileno(out), STDERR_FILENO);
    std::fclose(out);
  }
  ErrorStream(const ErrorStream&) = delete;
  ErrorStream& operator=(const ErrorStream&) = delete;
  ~ErrorStream() {
    ::dup2(saved_, STDERR_FILENO);
    ::close(saved_);
  }
  std::string text() const {
    std::fflush(stderr);
    return sample::read_text(file_);
  }

 private:
  int saved_;
  std::filesystem::path file_;
};

}  // namespace

TEST_CASE("arrays, scalars and texts come back with the same bits", "[io][h5_file]") {
  const sample::TemporaryFolder folder;
  const std::vector<double> values{1.0 / 3, -0.0,         std::numeric_limits<double>::denorm_min(),
                                   1e308,   std::nan(""), std::numeric_limits<double>::infinity()};
  const std::vector<std::int32_t> whole{-1, 2147483647, 0, 7};
  const std::vector<std::string> texts{"", sample::odd_name, "x"};
  H5File file = H5File::create(folder / "a.h5");
  file.write("/a/values", values, "Pa", 3);
  file.write("/a/whole", whole, "1");
  file.write_texts("/a/texts", texts);
  file.write_scalar("/b/real", 1.0 / 3, "s");
  file.write_scalar("/b/whole", std::int64_t{1} << 62, "1");
  file.write_text("/b/text", sample::odd_name);
  file.write_text("/b/no_text", "");
  file.set_attribute("format", "x");
  file.set_attribute("version", std::int64_t{3});
  file.close();

  const H5File read = H5File::open(folder / "a.h5");
  const std::vector<double> back = read.read("/a/values", 3, 2);
  REQUIRE(back.size() == values.size());
  CHECK(std::equal(back.begin(), back.end(), values.begin(), [](double a, double b) {
    return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
  }));
  CHECK(read.read_int32("/a/whole") == whole);
  CHECK(read.read_texts("/a/texts") == texts);
  CHECK(read.read_scalar("/b/real") == 1.0 / 3);
  CHECK(read.read_integer("/b/whole") == std::int64_t{1} << 62);
  CHECK(read.read_text("/b/text") == sample::odd_name);
  CHECK(read.read_text("/b/no_text").empty());
  CHECK(read.attribute("format") == "x");
  CHECK(read.integer_attribute("version") == 3);
  CHECK(read.members("/") == std::vector<std::string>{"a", "b"});
  CHECK(read.has("/a/texts"));
  CHECK_FALSE(read.has("/a/none"));
  CHECK_FALSE(read.has("/none/texts"));
}

TEST_CASE("empty arrays can be written and read", "[io][h5_file][limit]") {
  const sample::TemporaryFolder folder;
  H5File file = H5File::create(folder / "a.h5");
  file.write("/values", std::vector<double>{}, "Pa");
  file.write("/rows", std::vector<std::int32_t>{}, "1", 3);
  file.write_texts("/texts", std::vector<std::string>{});
  file.close();
  const H5File read = H5File::open(folder / "a.h5");
  CHECK(read.read("/values").empty());
  CHECK(read.read_int32("/rows", 3).empty());
  CHECK(read.read_texts("/texts").empty());
}

TEST_CASE("values of another type, size or place are errors", "[io][h5_file]") {
  const sample::TemporaryFolder folder;
  H5File file = H5File::create(folder / "a.h5");
  file.write("/real", std::vector<double>{1, 2, 3}, "1");
  file.write("/whole", std::vector<std::int32_t>{1, 2, 3}, "1");
  file.write_scalar("/scalar", 1.0, "1");
  CHECK_THAT(error_of([&] { file.read("/none"); }),
             Contains("a.h5") && Contains("/none is missing"));
  CHECK_THAT(error_of([&] { file.read("/whole"); }), Contains("another type"));
  CHECK_THAT(error_of([&] { file.read_int32("/real"); }), Contains("another type"));
  CHECK_THAT(error_of([&] { file.read("/real", 3); }), Contains("wrong size"));
  CHECK_THAT(error_of([&] { file.read("/real", 1, 4); }), Contains("wrong size"));
  CHECK_THAT(error_of([&] { file.read("/scalar"); }), Contains("wrong size"));
  CHECK_THAT(error_of([&] { file.read_scalar("/real"); }), Contains("not a single number"));
  CHECK_THAT(error_of([&] { file.read_texts("/real"); }), Contains("not text"));
  CHECK_THAT(error_of([&] { file.read_text("/real"); }), Contains("not text"));
  CHECK_THAT(error_of([&] { file.attribute("format"); }), Contains("format is missing"));
  CHECK_THAT(error_of([&] { file.members("/none"); }), Contains("/none is missing"));
}

TEST_CASE("files that are missing, foreign or cut off give our error and silence from the library",
          "[io][h5_file]") {
  const sample::TemporaryFolder folder;
  H5File file = H5File::create(folder / "whole.h5");
  file.write("/values", std::vector<double>(10000, 1.5), "1");
  file.close();
  const std::string bytes = sample::read_text(folder / "whole.h5");
  sample::write_text(folder / "half.h5", bytes.substr(0, bytes.size() / 2));
  sample::write_text(folder / "text.h5", "no such thing");
  sample::write_text(folder / "empty.h5", "");
  std::string printed;
  {
    const ErrorStream stream(folder / "printed");
    CHECK_THAT(error_of([&] { H5File::open(folder / "none.h5"); }),
               Contains("none.h5") && Contains("No such file or directory"));
    CHECK_THAT(error_of([&] { H5File::open(folder / "text.h5"); }), Contains("not HDF5"));
    CHECK_THAT(error_of([&] { H5File::open(folder / "empty.h5"); }), Contains("not HDF5"));
    CHECK_THAT(error_of([&] { H5File::open(folder / "half.h5"); }), Contains("half.h5"));
    CHECK_THAT(error_of([&] { H5File::open(folder.path()); }), Contains("cannot open"));
    CHECK_THAT(error_of([&] { H5File::create(folder / "none/a.h5"); }),
               Contains("none/a.h5") && Contains("No such file or directory"));
    printed = stream.text();
  }
  CHECK(printed.empty());
}

TEST_CASE("a full disk is reported with the system's reason", "[io][h5_file][limit]") {
  const sample::TemporaryFolder folder;
  std::string message, printed;
  {
    const ErrorStream stream(folder / "printed");
    const sample::FileSizeLimit limit(20000);
    message = error_of([&] {
      H5File file = H5File::create(folder / "a.h5");
      for (int i = 0; i < 100; ++i) {
        std::vector<double> values(5000);
        for (std::size_t k = 0; k < values.size(); ++k)
          values[k] = std::sin(static_cast<double>(k * k) + i);
        file.write("/values" + std::to_string(i), values, "1");
      }
      file.close();
    });
    printed = stream.text();
  }
  CHECK_THAT(message, Contains("cannot write") && Contains("a.h5") && Contains("File too large"));
  CHECK(printed.empty());
}

TEST_CASE("a program that met a full disk or a damaged file still ends in good order",
          "[io][h5_file][limit]") {
  const sample::TemporaryFolder folder;
  {
    H5File file = H5File::create(folder / "whole.h5");
    file.write("/values", std::vector<double>(10000, 1.5), "1");
    file.close();
  }
  std::string bytes = sample::read_text(folder / "whole.h5");
  std::fill(bytes.begin() + static_cast<std::ptrdiff_t>(bytes.size() / 3), bytes.end(), '\x55');
  sample::write_text(folder / "damaged.h5", bytes);
  std::fflush(nullptr);  // or the child prints again what waits here
  const pid_t child = ::fork();
  if (child == 0) {
    const sample::FileSizeLimit limit(500);
    const std::string full = error_of([&] {
      H5File file = H5File::create(folder / "a.h5");
      file.write("/values", std::vector<double>(10000, 1.5), "1");
      file.close();
    });
    const std::string damaged =
        error_of([&] { H5File::open(folder / "damaged.h5").read("/values"); });
    std::exit(full.empty() || damaged.empty() ? EXIT_FAILURE : EXIT_SUCCESS);
  }
  int status = -1;
  ::waitpid(child, &status, 0);
  CHECK(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == EXIT_SUCCESS);
}
