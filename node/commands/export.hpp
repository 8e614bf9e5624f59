#pragma once
// Everything this member can read, as plain files for other programs: readable in ten years without this one, and not
// encrypted. Keys and other secrets are not in it.

#include <filesystem>

#include "node/commands/context.hpp"

namespace ladderline::node {

// Lines written, without the header lines.
struct ExportCounts {
    std::size_t members = 0;  // seats: somebody in two circles has two lines
    std::size_t ways = 0;
    std::size_t items = 0;       // on those ways
    std::size_t statements = 0;  // ticks, sign-offs, skills, set asides
    std::size_t contacts = 0;
    std::size_t meetings = 0;
    std::size_t answers = 0;
    std::size_t notes = 0;
    std::size_t pools = 0;
    std::size_t club_rows = 0;
    std::size_t stations = 0;  // of the own desk, with their exposure sheets
    std::size_t events = 0;
    std::size_t unreadable = 0;  // events whose key this node does not hold; they are not in the files
};

// `progress` counts events. Writes beside `folder` first, in a folder of that name with ".part", mode 0700, and puts it
// in its place when it is whole. refused: `folder` is there and not empty, or ".part" is. cancelled, disk: nothing is
// left behind.
Result<ExportCounts> export_all(Context& context, const std::filesystem::path& folder,
                                const store::Progress& progress = {});

}  // namespace ladderline::node
