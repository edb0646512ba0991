// `report.html`: one page that holds everything it shows, opens by double click without a network,
// and prints on A4. The page itself (report_page/, JavaScript) is bundled when firstshot is built
// and embedded in this library; here its data are made from result files.
//
// Safety: every text of a case reaches the page as JSON in a block that no browser runs, with "<"
// written as \u003c, and is shown as text only. The page's content security policy lets nothing run
// but its own script, known by its hash, and lets nothing be loaded.
#pragma once

#include <filesystem>
#include <span>
#include <string>

namespace firstshot {

/// Text of the page. @param places results folders or result.h5 files, at least one; several are
/// put side by side
/// @param version of the program that writes the page
/// @throws Error when one of them holds nothing to show (io/report_source)
std::string report_html(std::span<const std::filesystem::path> places, const std::string& version);

}  // namespace firstshot
