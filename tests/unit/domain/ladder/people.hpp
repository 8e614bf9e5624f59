#pragma once
// People and statements for the ladder's tests.

#include <initializer_list>
#include <string>
#include <vector>

#include "node/domain/ladder/record.hpp"

namespace ladderline::test {

inline domain::PersonId person(std::uint8_t number) {
    domain::PersonId id;
    id.data[0] = number;
    return id;
}

inline const domain::PersonId ann = person(1);    // the newcomer
inline const domain::PersonId ben = person(2);    // mentor
inline const domain::PersonId cleo = person(3);   // guardian
inline const domain::PersonId dora = person(4);   // second adult
inline const domain::PersonId emil = person(5);   // officer
inline const domain::PersonId fritz = person(6);  // another mentor

inline domain::StatementId statement_id(std::uint8_t number) {
    domain::StatementId id;
    id.data[31] = number;
    return id;
}

inline Day day(const std::string& text) {
    return parse_day(text).value();
}

// Statement `number`, said at `at` o'clock milliseconds, about a day of the same number.
inline domain::Statement says(std::uint8_t number, domain::StatementKind kind, const domain::PersonId& author,
                              std::int64_t at, domain::Level level = domain::Level::none, std::uint8_t about = 0) {
    domain::Statement s;
    s.id = statement_id(number);
    s.kind = kind;
    s.item = {6, 2};
    s.author = author;
    s.role = author == ann ? domain::Role::newcomer : domain::Role::mentor;
    s.level = level;
    s.day = {static_cast<std::int32_t>(at)};
    s.said = {at};
    if (about != 0) s.about = statement_id(about);
    return s;
}

inline domain::ItemState ticked_by(const domain::PersonId& author, Day on) {
    domain::Statement s = says(1, domain::StatementKind::tick, author, 1);
    s.day = on;
    return domain::derive(std::vector{s});
}

inline domain::ItemState ticked_and_signed(const domain::PersonId& ticker, const domain::PersonId& signer, Day on,
                                           domain::Level level = domain::Level::none) {
    domain::Statement tick = says(1, domain::StatementKind::tick, ticker, 1);
    domain::Statement sign = says(2, domain::StatementKind::sign, signer, 2, level);
    tick.day = sign.day = on;
    return domain::derive(std::vector{tick, sign});
}

// The sentence of a refusal, or "yes".
inline std::string answer(const Result<void>& result) {
    return result ? "yes" : result.error().sentence();
}

}  // namespace ladderline::test
