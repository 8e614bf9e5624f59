#pragma once
// The paper key: the sheet that is printed, the proof that it was written down, the reminder until then.

#include <filesystem>

#include "node/commands/context.hpp"
#include "protocol/crypto/paper_key.hpp"

namespace ladderline::node {

struct PaperSheet {
    protocol::PaperGroups groups;
    std::string key;          // the groups joined by hyphens; what the QR code says
    std::string owner;        // empty before `begin` is done
    std::string fingerprint;  // of the member's identity: tells whose sheet this is, and is no secret
    Day printed;
    // False in a store that was made before there were paper keys: the sheet then opens this store and nothing more.
    bool restores_identity = true;
    std::optional<Day> written_down;
};
// An older store draws its seed now; the key file gets its slot if it has none.
Result<PaperSheet> paper_sheet(Context& context);
std::vector<std::string> sheet_lines(const PaperSheet& sheet);
// A page to print, with a QR code of the key. Complete in itself.
Result<std::string> sheet_html(const PaperSheet& sheet);
// Readable by its owner alone. disk: the sentence names the file.
Result<Done> write_sheet(Context& context, const std::filesystem::path& file);

// Two different groups of the sheet, in any order and form. bad_input: one of them is not on it.
Result<Done> confirm_paper(Context& context, std::string_view two_groups);

// One calm sentence while nobody has said that the sheet is written down; empty afterwards.
Result<std::string> paper_reminder(Context& context);

}  // namespace ladderline::node
