// Encrypted pages and the write-ahead log, as a damaged disk or somebody else's hand left them. Input: changes to a
// good store that was killed with a log: for each 8 bytes, u8 which file and how, u24 place, u32 what. A store so
// changed says the truth of some commit, or that it is damaged; it never says anything else.

#include <sqlite3.h>

#include "tests/fuzz/engine/mutator.hpp"
#include "tests/support/store/vault_box.hpp"

namespace ladderline::fuzz {
namespace {

using namespace test;

constexpr std::size_t change_bytes = 8;
constexpr int commits = 4;

// Database and log, each commit adding one row.
Files good_store() {
    VaultBox box;
    auto db = box.open(true).value();
    ENSURE(db.execute("CREATE TABLE said (id INTEGER PRIMARY KEY, words TEXT NOT NULL) STRICT").has_value());
    ENSURE(db.execute("PRAGMA wal_checkpoint(TRUNCATE)").has_value());
    for (int i = 0; i < commits; ++i) {
        ENSURE(db.execute("INSERT INTO said (words) VALUES (hex(zeroblob(3000)))").has_value());
    }
    return box.memory.files();
}

const Files& store_before() {
    static const Files files = good_store();
    return files;
}

void change(Files& files, ByteView how) {
    Bytes& bytes = files[how[0] % 2 == 0 ? store_file : log_file];
    if (bytes.empty()) return;
    const std::size_t place = (how[1] | how[2] << 8 | how[3] << 16) % bytes.size();
    const std::size_t other = (how[4] | how[5] << 8 | how[6] << 16) % bytes.size();
    switch (how[0] / 2 % 5) {
        case 0:
            bytes[place] = how[7];
            break;
        case 1:
            bytes.resize(place);
            break;
        case 2: {  // one page, or frame, over another
            const std::size_t unit = how[0] % 2 == 0 ? 4096 : 4120;
            const std::size_t start = how[0] % 2 == 0 ? 0 : 32;
            const std::size_t count = (bytes.size() - std::min(bytes.size(), start)) / unit;
            if (count == 0) break;
            const Bytes from(bytes.begin() + static_cast<std::ptrdiff_t>(start + other % count * unit),
                             bytes.begin() + static_cast<std::ptrdiff_t>(start + (other % count + 1) * unit));
            std::copy(from.begin(), from.end(),
                      bytes.begin() + static_cast<std::ptrdiff_t>(start + place % count * unit));
            break;
        }
        case 3:
            std::fill(bytes.begin() + static_cast<std::ptrdiff_t>(std::min(place, other)),
                      bytes.begin() + static_cast<std::ptrdiff_t>(std::max(place, other)), std::uint8_t{0});
            break;
        default:
            bytes.insert(bytes.end(), how.begin(), how.end());
    }
}

void knock(ByteView input) {
    Files files = store_before();
    for (; input.size() >= change_bytes; input = input.subspan(change_bytes)) change(files, input.first(change_bytes));
    VaultBox box(files);
    auto opened = box.open();
    if (!opened) return demand_sentence(opened.error().sentence());
    std::size_t rows = 0;
    const Result<void> read = opened.value().query("SELECT words FROM said ORDER BY id", [&](const auto& row) {
        ++rows;
        demand(row.text(0) == std::string(6000, '0'), "a row that is read is the row that was written");
    });
    if (!read) return demand_sentence(read.error().sentence());
    demand(rows <= commits, "no row comes from nowhere");
}

Bytes changes(std::initializer_list<std::array<std::uint8_t, change_bytes>> list) {
    Bytes out;
    for (const auto& one : list) out.insert(out.end(), one.begin(), one.end());
    return out;
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {{"whole", {}},
                 {"a_byte_of_a_page", changes({{0, 0, 32, 0, 0, 0, 0, 5}})},
                 {"a_byte_of_the_log", changes({{1, 200, 40, 0, 0, 0, 0, 5}})},
                 {"log_cut", changes({{3, 0, 64, 0, 0, 0, 0, 0}})},
                 {"page_over_page", changes({{4, 1, 0, 0, 0, 0, 0, 0}})},
                 {"frame_over_frame", changes({{5, 1, 0, 0, 2, 0, 0, 0}})},
                 {"zeros_in_the_log", changes({{7, 0, 20, 0, 0, 40, 0, 0}, {9, 1, 2, 3, 4, 5, 6, 7}})}};
    out.bytes_max = 64;
    out.bounds.memory_bytes = 16 * 1024 * 1024;
    out.bounds.work = 64 * 1024 * 1024;
    out.runs = 400;
    return out;
}

}  // namespace ladderline::fuzz
