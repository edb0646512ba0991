#include <catch2/catch.hpp>

#include "io/seal.hpp"
#include "tests/io/sample_run.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;
using sample::error_of;

TEST_CASE("a sealed file passes, with one bit changed anywhere it does not", "[io][seal]") {
  const sample::TemporaryFolder folder;
  const std::string content(3000000, 'a');  // several blocks
  sample::write_text(folder / "a", content);
  add_seal(folder / "a", folder / "a");
  const std::string sealed = sample::read_text(folder / "a");
  REQUIRE(sealed.size() == content.size() + seal_length);
  CHECK(error_of([&] { check_seal(folder / "a"); }).empty());
  for (const std::size_t at : {std::size_t{0}, content.size() / 2, content.size() - 1,
                               content.size() + 8, sealed.size() - 1}) {
    std::string damaged = sealed;
    damaged[at] = static_cast<char>(damaged[at] ^ 1);
    sample::write_text(folder / "b", damaged);
    CHECK_THAT(error_of([&] { check_seal(folder / "b"); }),
               Contains("b\" is no result file of firstshot, or it was damaged"));
  }
  for (const std::size_t length : {std::size_t{0}, std::size_t{10}, sealed.size() - 1}) {
    sample::write_text(folder / "b", sealed.substr(0, length));
    CHECK_THAT(error_of([&] { check_seal(folder / "b"); }), Contains("damaged"));
  }
}

TEST_CASE("a file that is not there or is a folder cannot pass", "[io][seal]") {
  const sample::TemporaryFolder folder;
  CHECK_THAT(error_of([&] { check_seal(folder / "none"); }), Contains("No such file"));
  CHECK_THAT(error_of([&] { check_seal(folder.path()); }), Contains("cannot open"));
}

TEST_CASE("a full disk stops the sealing with its reason", "[io][seal][limit]") {
  const sample::TemporaryFolder folder;
  sample::write_text(folder / "a", std::string(100, 'a'));
  std::string message;
  {
    const sample::FileSizeLimit limit(110);
    message = error_of([&] { add_seal(folder / "a", folder / "shown"); });
  }
  CHECK_THAT(message, Contains("cannot write") && Contains("shown") && Contains("File too large"));
}
