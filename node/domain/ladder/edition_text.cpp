// The text of a ladder edition. UTF-8, lines end in LF, fields are parted by one tab, no field holds a tab.
//
//   #edition <name> <edition> local-changes=yes|no owner=<owner>          first line, five fields
//   # ...                                                                 remark, anywhere after it
//   stage title walker                                                    heading of the stage lines
//   09    First contact, with the mentor   newcomer                       walker: newcomer | mentor
//   id item kind ticks signs evidence safety note gate applies recheck only-if-needed
//   09.06 First two-way contact, ...                                      one line an item
//
// The stage lines may stand in a text of their own. Stages and items ascend by number; a number may be left out
// (an item that went away), never used again. kind: checklist | skill | milestone. ticks: newcomer | mentor |
// guardian | club. signs: none | mentor | instructor | examiner | net-control | event-lead | guardian |
// second-person | other-station | club | household. safety, only-if-needed: y | n. gate: empty | grant | minor |
// exposure. applies: all | minor. recheck: empty | each-change | each-site | each-time | each-outing | yearly |
// seasonal | clock-change | upgrade. Text, kind, ticks, signs and evidence are never empty. A safety item is signed
// by somebody.

#include <array>
#include <utility>

#include "embedded/rules.hpp"
#include "node/domain/ladder/edition.hpp"
#include "node/domain/rules/table_text.hpp"
#include "protocol/base/bytes.hpp"

namespace ladderline::domain {
namespace {

constexpr std::size_t text_bytes_max = 262'144;  // a club's whole ladder, eight times the shipped one
constexpr std::size_t items_max = 1'000;
constexpr std::size_t field_bytes_max = 400;  // one sentence, also on a narrow screen

constexpr std::string_view stage_heading = "stage\ttitle\twalker";
constexpr std::string_view item_heading =
    "id\titem\tkind\tticks\tsigns\tevidence\tsafety\tnote\tgate\tapplies\trecheck\tonly-if-needed";

template <class Enum, std::size_t N>
using Words = std::array<std::pair<Enum, std::string_view>, N>;

constexpr Words<ItemKind, 3> kind_words{
    {{ItemKind::checklist, "checklist"}, {ItemKind::skill, "skill"}, {ItemKind::milestone, "milestone"}}};
constexpr Words<TickWord, 4> tick_words{{{TickWord::newcomer, "newcomer"},
                                         {TickWord::mentor, "mentor"},
                                         {TickWord::guardian, "guardian"},
                                         {TickWord::club, "club"}}};
constexpr Words<SignWord, 11> sign_words{{{SignWord::none, "none"},
                                          {SignWord::mentor, "mentor"},
                                          {SignWord::instructor, "instructor"},
                                          {SignWord::examiner, "examiner"},
                                          {SignWord::net_control, "net-control"},
                                          {SignWord::event_lead, "event-lead"},
                                          {SignWord::guardian, "guardian"},
                                          {SignWord::second_person, "second-person"},
                                          {SignWord::other_station, "other-station"},
                                          {SignWord::club, "club"},
                                          {SignWord::household, "household"}}};
constexpr Words<ItemGate, 4> gate_words{
    {{ItemGate::none, ""}, {ItemGate::grant, "grant"}, {ItemGate::minor, "minor"}, {ItemGate::exposure, "exposure"}}};
constexpr Words<Recheck, 9> recheck_words{{{Recheck::never, ""},
                                           {Recheck::each_change, "each-change"},
                                           {Recheck::each_site, "each-site"},
                                           {Recheck::each_time, "each-time"},
                                           {Recheck::each_outing, "each-outing"},
                                           {Recheck::yearly, "yearly"},
                                           {Recheck::seasonal, "seasonal"},
                                           {Recheck::clock_change, "clock-change"},
                                           {Recheck::upgrade, "upgrade"}}};
constexpr Words<AppliesTo, 2> applies_words{{{AppliesTo::all, "all"}, {AppliesTo::minor, "minor"}}};
constexpr Words<Walker, 2> walker_words{{{Walker::newcomer, "newcomer"}, {Walker::mentor, "mentor"}}};
constexpr Words<bool, 2> yes_words{{{true, "y"}, {false, "n"}}};
constexpr Words<bool, 2> local_words{{{true, "local-changes=yes"}, {false, "local-changes=no"}}};

template <class Enum, std::size_t N>
std::string_view word_of(const Words<Enum, N>& words, Enum value) {
    for (const auto& [known, word] : words) {
        if (known == value) return word;
    }
    ENSURE(!"a value without a word");
    return {};
}

Error bad_line(int number, const std::string& what) {
    return {Fault::bad_input, "Line " + std::to_string(number) + " of the ladder " + what + "; nothing was taken in."};
}

template <class Enum, std::size_t N>
Result<Enum> value_of(const Words<Enum, N>& words, std::string_view word, std::string_view column, int line) {
    for (const auto& [known, text] : words) {
        if (text == word) return known;
    }
    return bad_line(line, "has '" + std::string(word) + "' as its " + std::string(column) + ", which is not known");
}

Result<std::string> filled(std::string_view field, std::string_view column, int line) {
    if (field.empty()) return bad_line(line, "has no " + std::string(column));
    return std::string(field);
}

// Reads one text after the other into one edition.
class Reader {
public:
    Result<void> read(std::string_view text, bool starts_with_edition) {
        if (text.size() > text_bytes_max) {
            return Error{Fault::bad_input, "The ladder is longer than 256 KiB; nothing was taken in."};
        }
        heading_ = {};
        const std::vector<NumberedLine> lines = numbered_lines(text);
        if (starts_with_edition && lines.empty()) return bad_line(1, "is missing");
        for (const NumberedLine& line : lines) {
            TRY(check_text(line));
            if (starts_with_edition && line.number == 1) {
                TRY(edition_line(line));
            } else if (!line.text.starts_with("#")) {
                TRY(table_line(line));
            }
        }
        return ok();
    }

    Result<Edition> finish() {
        if (edition_.stages.empty()) return Error{Fault::bad_input, "The ladder has no stages; nothing was taken in."};
        if (edition_.items.empty()) return Error{Fault::bad_input, "The ladder has no items; nothing was taken in."};
        for (const Item& item : edition_.items) {
            if (edition_.stage(item.id.stage) == nullptr) {
                return Error{Fault::bad_input,
                             "Item " + to_text(item.id) + " of the ladder belongs to no stage; nothing was taken in."};
            }
        }
        return std::move(edition_);
    }

private:
    static Result<void> check_text(const NumberedLine& line) {
        if (!is_utf8(line.text)) return bad_line(line.number, "is not UTF-8 text");
        for (char c : line.text) {
            const auto byte = static_cast<unsigned char>(c);
            if ((byte < 0x20 && c != '\t') || byte == 0x7F) return bad_line(line.number, "holds a control character");
        }
        for (std::string_view field : tab_fields(line.text)) {
            if (field.size() > field_bytes_max) return bad_line(line.number, "has a field of more than 400 bytes");
        }
        return ok();
    }

    Result<void> edition_line(const NumberedLine& line) {
        const auto fields = tab_fields(line.text);
        constexpr std::string_view owner_key = "owner=";
        if (fields.size() != 5 || fields[0] != "#edition" || !fields[4].starts_with(owner_key)) {
            return bad_line(line.number, "does not name the edition, whether local changes are allowed, and the owner");
        }
        TRY(edition_.name, filled(fields[1], "name", line.number));
        TRY(edition_.edition, filled(fields[2], "edition", line.number));
        TRY(edition_.local_changes, value_of(local_words, fields[3], "word on local changes", line.number));
        TRY(edition_.owner, filled(fields[4].substr(owner_key.size()), "owner", line.number));
        return ok();
    }

    Result<void> table_line(const NumberedLine& line) {
        if (line.text == stage_heading || line.text == item_heading) {
            heading_ = line.text;
            return ok();
        }
        if (heading_ == stage_heading) return stage_line(line);
        if (heading_ == item_heading) return item_line(line);
        return bad_line(line.number, "stands before any heading");
    }

    Result<void> stage_line(const NumberedLine& line) {
        const auto fields = tab_fields(line.text);
        if (fields.size() != 3) return bad_line(line.number, "must have 3 fields");
        const auto id = parse_item_id(std::string(fields[0]) + ".01");
        if (!id) return bad_line(line.number, "must begin with a stage of two digits");
        const std::uint8_t number = id.value().stage;
        if (!edition_.stages.empty() && edition_.stages.back().number >= number) {
            return bad_line(line.number, "is out of order");
        }
        TRY(auto title, filled(fields[1], "title", line.number));
        TRY(const auto walker, value_of(walker_words, fields[2], "walker", line.number));
        edition_.stages.push_back({number, std::move(title), walker});
        return ok();
    }

    Result<void> item_line(const NumberedLine& line) {
        const auto fields = tab_fields(line.text);
        const int at = line.number;
        if (fields.size() != 12) return bad_line(at, "must have 12 fields");
        const auto id = parse_item_id(fields[0]);
        if (!id) return bad_line(at, "must begin with a number such as 09.06");
        if (!edition_.items.empty() && edition_.items.back().id >= id.value()) {
            return bad_line(at, "is out of order, or its number was used before");
        }
        if (edition_.items.size() == items_max) return bad_line(at, "is the 1001st item, and 1000 are the most");
        Item item;
        item.id = id.value();
        TRY(item.text, filled(fields[1], "text", at));
        TRY(item.kind, value_of(kind_words, fields[2], "kind", at));
        TRY(item.ticks, value_of(tick_words, fields[3], "ticker", at));
        TRY(item.signs, value_of(sign_words, fields[4], "signer", at));
        TRY(item.evidence, filled(fields[5], "evidence", at));
        TRY(item.safety, value_of(yes_words, fields[6], "safety mark", at));
        item.note = std::string(fields[7]);
        TRY(item.gate, value_of(gate_words, fields[8], "gate", at));
        TRY(item.applies, value_of(applies_words, fields[9], "word on whom it applies to", at));
        TRY(item.recheck, value_of(recheck_words, fields[10], "recheck", at));
        TRY(item.only_if_needed, value_of(yes_words, fields[11], "word on need", at));
        if (item.safety && item.signs == SignWord::none) {
            return bad_line(at, "is a safety item that nobody signs, and each of those needs a second person");
        }
        edition_.items.push_back(std::move(item));
        return ok();
    }

    Edition edition_;
    std::string_view heading_;
};

}  // namespace

std::string_view to_word(ItemKind kind) {
    return word_of(kind_words, kind);
}
std::string_view to_word(TickWord word) {
    return word_of(tick_words, word);
}
std::string_view to_word(SignWord word) {
    return word_of(sign_words, word);
}
std::string_view to_word(ItemGate gate) {
    return word_of(gate_words, gate);
}
std::string_view to_word(Recheck recheck) {
    return word_of(recheck_words, recheck);
}
std::string_view to_word(AppliesTo applies) {
    return word_of(applies_words, applies);
}

Result<Edition> parse_edition(std::string_view text, std::string_view stages) {
    Reader reader;
    TRY(reader.read(stages, false));
    TRY(reader.read(text, true));
    return reader.finish();
}

std::string to_text(const Edition& edition) {
    std::string out;
    const auto line = [&](std::initializer_list<std::string_view> fields) {
        for (const auto& field : fields) out.append(&field == fields.begin() ? "" : "\t").append(field);
        out += '\n';
    };
    line({"#edition", edition.name, edition.edition, word_of(local_words, edition.local_changes),
          "owner=" + edition.owner});
    line({stage_heading});
    for (const Stage& stage : edition.stages) {
        line({to_text(ItemId{stage.number, 1}).substr(0, 2), stage.title, word_of(walker_words, stage.walker)});
    }
    line({item_heading});
    for (const Item& item : edition.items) {
        line({to_text(item.id), item.text, to_word(item.kind), to_word(item.ticks), to_word(item.signs), item.evidence,
              word_of(yes_words, item.safety), item.note, to_word(item.gate), to_word(item.applies),
              to_word(item.recheck), word_of(yes_words, item.only_if_needed)});
    }
    return out;
}

const Edition& shipped_edition() {
    static const Edition edition = [] {
        auto parsed =
            parse_edition(embedded::rules::f_ladder_us_2026_tsv, embedded::rules::f_ladder_us_2026_stages_tsv);
        ENSURE(parsed.has_value());
        return std::move(parsed).value();
    }();
    return edition;
}

}  // namespace ladderline::domain
