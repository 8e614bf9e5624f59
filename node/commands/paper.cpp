#include "node/commands/paper.hpp"

#include <algorithm>
#include <set>

#include "node/commands/named_files.hpp"
#include "protocol/crypto/hash.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::string_view written_setting = "paper_written_down";

struct FingerprintTag;
using Fingerprint = FixedBytes<FingerprintTag, 16>;

// 60 bits in base 32, as three groups of four.
std::string fingerprint_of(const MemberId& member) {
    const std::string text = to_base32(hash_as<Fingerprint>("ladderline fingerprint 1", {member.view()}).view());
    return text.substr(0, 4) + "-" + text.substr(4, 4) + "-" + text.substr(8, 4);
}

Result<std::optional<Day>> written_down(Context& context) {
    TRY(const auto text, store::get_text_setting(context.db, written_setting));
    if (!text) return std::optional<Day>();
    TRY(const Day day, parse_day(*text));
    return std::optional(day);
}

// The stored seed, or in an older store a fresh one; either has its slot afterwards.
Result<PaperSeed> seed_with_slot(Context& context) {
    TRY(auto seed, store::stored_paper_seed(context.db));
    if (!seed) {
        seed = PaperSeed::random(context.env.random);
        TRY(store::store_paper_seed(context.db, *seed));
    }
    TRY(context.keep_paper_slot(paper_slot_secret(*seed).view()));
    return std::move(*seed);
}

std::vector<std::string> words_of(std::string_view text) {
    std::vector<std::string> out;
    bool between = true;
    for (const char c : text) {
        const bool gap = c == ' ' || c == '-' || c == '\t' || c == '\n' || c == '\r' || c == ',';
        if (!gap && between) out.emplace_back();
        if (!gap) out.back() += c;
        between = gap;
    }
    return out;
}

}  // namespace

Result<PaperSheet> paper_sheet(Context& context) {
    TRY(const PaperSeed seed, seed_with_slot(context));
    PaperSheet sheet;
    sheet.groups = paper_groups_of(seed);
    sheet.key = to_paper_text(seed);
    TRY(const auto owner, store::get_text_setting(context.db, "owner_name"));
    sheet.owner = owner.value_or("");
    sheet.fingerprint = fingerprint_of(context.me.id());
    sheet.printed = context.today();
    sheet.restores_identity = store::gives_identity(seed, context.me);
    TRY(sheet.written_down, written_down(context));
    return sheet;
}

std::vector<std::string> sheet_lines(const PaperSheet& sheet) {
    std::vector<std::string> out{"Ladderline paper key" + (sheet.owner.empty() ? "" : " of " + sheet.owner), ""};
    for (std::size_t i = 0; i < sheet.groups.size(); ++i) {
        out.push_back("  " + std::to_string(i + 1) + ".  " + sheet.groups[i]);
    }
    out.push_back("");
    out.push_back("Fingerprint " + sheet.fingerprint + ", printed " + to_iso(sheet.printed) + ".");
    if (sheet.restores_identity) {
        out.push_back(
            "It opens this store when the passphrase is forgotten. On a new machine it brings back who you "
            "are and, with one person of your circles, what your circles hold; your desk is only in backups.");
    } else {
        out.push_back(
            "This store was made before there were paper keys: the sheet opens this store when the "
            "passphrase is forgotten, and cannot bring you back on another machine; keep backups for that.");
    }
    out.push_back(
        "Whoever finds it is you. Keep it where you keep papers that you cannot replace, not beside the "
        "computer, not as a photo and not in a mailbox.");
    return out;
}

Result<Done> write_sheet(Context& context, const std::filesystem::path& file) {
    TRY(const PaperSheet sheet, paper_sheet(context));
    TRY(const std::string html, sheet_html(sheet));
    TRY(write_named_file(file, html));
    return Done{"The sheet is in " + file.string() +
                    ". Print it, then delete the file: whoever reads it is you. "
                    "When you hold it, say so: ladderline paper --confirm \"GROUP GROUP\".",
                {}};
}

Result<Done> confirm_paper(Context& context, std::string_view two_groups) {
    TRY(const PaperSheet sheet, paper_sheet(context));
    const std::vector<std::string> words = words_of(two_groups);
    if (words.size() != 2) {
        return Error{Fault::bad_input, "Give two groups of the sheet, five characters each; nothing was noted."};
    }
    std::set<std::size_t> found;
    for (const std::string& word : words) {
        const auto group = std::find(sheet.groups.begin(), sheet.groups.end(), tidy_paper_group(word));
        if (group == sheet.groups.end()) {
            return Error{Fault::bad_input,
                         "'" + word + "' is no group of this store's sheet; nothing was noted. Look at it once more."};
        }
        found.insert(static_cast<std::size_t>(group - sheet.groups.begin()));
    }
    if (found.size() != 2) return Error{Fault::bad_input, "Give two different groups; nothing was noted."};
    const std::string day = to_iso(context.today());
    TRY(store::put_text_setting(context.db, written_setting, day));
    return Done{"Noted: the paper key is written down on " + day + ".", {}};
}

Result<std::string> paper_reminder(Context& context) {
    TRY(const auto day, written_down(context));
    if (day) return std::string();
    return std::string("Your spare key is not written down yet; when you have a pen at hand: ladderline paper.");
}

}  // namespace ladderline::node
