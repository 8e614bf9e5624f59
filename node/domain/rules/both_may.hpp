#pragma once
// Frequencies for two: what the rule book says to both ends of an arranged contact, and places to begin with. The rule
// in force decides; whose class is not known is said, never guessed.

#include "node/domain/rules/transmit.hpp"

namespace ladderline::domain {

// One end of a contact.
struct RadioEnd {
    std::string name;           // for the sentences
    std::string licence_class;  // code; empty: not known
    bool is_guest = false;      // without a licence: speaks while a licensed operator stays in control there
    std::string abroad;         // holder of the call sign, where it is not of the rule book's country; empty: of it
};

struct BothMay {
    // yes: every end that the book can judge may; a guest's end is judged by the operator beside them, who is not known
    // here, and is named in `sentences`.
    Verdict verdict = Verdict::not_known;
    std::vector<std::string> sentences;  // what speaks against it, and what is not known
    std::vector<PowerLimit> limits;      // the least of both ends
};
// bad_input: a mode that the tables do not have, or one whose width would have to be said.
Result<BothMay> both_may(const RuleBook& book, const RadioEnd& one, const RadioEnd& other, std::int64_t frequency_hz,
                         const std::string& mode);

struct MeetingPlace {
    std::int64_t hz = 0;
    std::string mode;
    std::string note;
    std::string source;
};
Result<std::vector<MeetingPlace>> parse_meeting_places(std::string_view text);
// By use: those that most people can reach stand first. Empty for a country without the file.
const std::vector<MeetingPlace>& shipped_meeting_places(std::string_view country);

struct JudgedPlace {
    MeetingPlace place;
    BothMay both;
};
// Without those that one end may not use; first the allowed ones, then those of which it is not known.
std::vector<JudgedPlace> places_for(const RuleBook& book, const RadioEnd& one, const RadioEnd& other);

// What has to hold where somebody without a licence speaks; empty if nobody does. One sentence each.
std::vector<std::string> guest_words(const RuleBook& book, const RadioEnd& one, const RadioEnd& other);

// "146.52": megahertz as a radio shows it, without a unit.
std::string megahertz_text(std::int64_t hz);

}  // namespace ladderline::domain
