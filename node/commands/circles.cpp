#include "node/commands/circles.hpp"

#include <algorithm>
#include <cctype>

#include "node/commands/key_rotation.hpp"
#include "node/commands/way.hpp"
#include "protocol/base/letters.hpp"
#include "protocol/circle/epochs.hpp"
#include "protocol/crypto/hash.hpp"
#include "protocol/event/kinds.hpp"
#include "store/circles/wrap_shelf.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::string_view code_prefix = "LADDER-";
constexpr std::size_t secret_bytes = 32;
constexpr std::size_t check_bytes = 4;
constexpr std::int32_t invite_days_max = 60;
constexpr std::size_t code_letters = 12;  // 26^12 is 2^56: a code with the same letters takes years to find

InviteId id_of_secret(ByteView secret) {
    return hash_as<InviteId>("ladderline invite 1", {secret});
}

struct CheckHashTag;
Bytes check_of(ByteView bytes) {
    const auto hash = hash_as<FixedBytes<CheckHashTag, 16>>("ladderline invite check 1", {bytes});
    return to_bytes(hash.view().first(check_bytes));
}

// One sentence that says what is wrong; what was kept follows.
Error mistyped(const std::string& what) {
    return {Fault::bad_input, what + "; nothing was joined."};
}

Result<void> no_strange_character(std::string_view typed) {
    for (std::size_t at = 0; at < typed.size(); ++at) {
        const char c = typed[at];
        if (c == '-' || from_base32(std::string(1, c) + "0")) continue;
        const bool shows = c > ' ' && c < '\x7F';
        return mistyped((shows ? std::string("The character '") + c + "'" : std::string("A character")) + " at place " +
                        std::to_string(at + 1) +
                        " after LADDER- belongs to no invite code. Compare it with the original");
    }
    return ok();
}

// Short text of one word that a terminal shows as it is: no blanks, none of Unicode's control characters.
bool is_address_like(std::string_view text) {
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto byte = static_cast<unsigned char>(text[i]);
        const bool is_c1 = byte == 0xC2 && i + 1 < text.size() && static_cast<unsigned char>(text[i + 1]) < 0xA0;
        if (byte <= ' ' || byte == 0x7F || is_c1) return false;
    }
    return is_utf8(text) && text.size() <= limits::name_bytes_max;
}

Result<void> check_seat(CircleKind kind, MemberRole role, std::uint8_t level) {
    if (level > level_max) return Error{Fault::bad_input, "A level is 0 to 4."};
    if (kind == CircleKind::path && role == MemberRole::officer) {
        return Error{Fault::bad_input,
                     "A path has a mentor, a guardian and a second adult; officers belong to the club."};
    }
    return ok();
}

// On a minor's path nobody gets the key without a consent in force but the household; so nobody else is let in.
Result<void> has_consent(Context& context, const CircleId& circle, MemberRole role) {
    TRY(const CircleState state, context.state_of(circle));
    if (!is_minors_path(state) || role != MemberRole::mentor || consent_in_force(state, context.today())) return ok();
    return Error{Fault::refused,
                 "This newcomer is under 18, and no guardian's consent is in force: the guardian gives it with "
                 "'ladderline consent' before a mentor joins."};
}

// Gate 1 where a seat is taken: an adult's seat for an adult, and on a minor's path the guardian's agreement before the
// mentor.
Result<void> may_sit(Context& context, const CircleId& circle, const MemberId& member, bool is_minor, MemberRole role) {
    if (is_minor && role != MemberRole::newcomer) {
        return Error{Fault::refused, "Somebody under 18 joins as a newcomer; this seat is an adult's."};
    }
    TRY(const auto all, circles(context.db));
    for (const CircleView& view : all) {
        if (view.id != circle || view.kind != CircleKind::path) continue;
        TRY(const WayView path, way_of(context, view));
        TRY(domain::may_take_seat(path.group, {to_domain(member), to_domain(role)}, context.today()));
    }
    return has_consent(context, circle, role);
}

bool is_present(const CircleState& state, const MemberId& id) {
    const auto member = state.members.find(id);
    return member != state.members.end() && !member->second.removed;
}

Bytes admit_body(const JoinMessage& join, MemberRole role, std::uint8_t level) {
    return codec::encode(AdmitBody{join.device.member, role, level, join.name, join.is_minor, {join.device}});
}

struct Offered {
    InviteCode code;  // without an address
    CircleId circle;
};

// A seat kept for whoever holds the secret, if the owner may give it.
Result<Offered> offer(Context& context, const InviteRequest& request, WallTime expires) {
    TRY(check_seat(request.circle, request.role, request.level));
    TRY(const CircleView circle, own_circle(context, request.circle));
    TRY(const CircleState state, context.state_of(circle.id));
    TRY(may_admit(state, context.me.id(), request.role));
    InviteCode code;
    code.secret.resize(secret_bytes);
    context.env.random.fill(code.secret);
    code.id = id_of_secret(code.secret);
    TRY(context.db.run("INSERT INTO invite (invite, secret, circle, role, level, expires) VALUES (?1,?2,?3,?4,?5,?6)",
                       code.id, code.secret, circle.id, request.role, request.level, expires));
    return Offered{std::move(code), circle.id};
}

}  // namespace

std::string to_code(const InviteCode& code) {
    Bytes bytes = code.secret;
    const ByteView address = as_bytes(code.address);
    bytes.insert(bytes.end(), address.begin(), address.end());
    const Bytes check = check_of(bytes);
    bytes.insert(bytes.end(), check.begin(), check.end());
    return std::string(code_prefix) + to_base32(bytes);
}

Result<InviteCode> parse_code(std::string_view text) {
    std::string typed = upper(text);
    std::erase_if(typed, [](unsigned char c) { return std::isspace(c) != 0; });  // a letter wraps long lines
    const std::size_t begin = typed.find(code_prefix);  // the words before it may be copied along
    if (begin == std::string::npos) {
        return mistyped("An invite code begins with LADDER-, and this does not. Copy the whole of it");
    }
    const std::string_view rest = std::string_view(typed).substr(begin + code_prefix.size());
    TRY(no_strange_character(rest));
    const auto hyphens = static_cast<std::size_t>(std::count(rest.begin(), rest.end(), '-'));
    if ((rest.size() - hyphens) * 5 / 8 < secret_bytes + check_bytes) {
        return mistyped("The end of this invite code is missing. Copy the whole of it");
    }
    const Error unfit = mistyped(
        "That invite code is not complete or has a typing mistake: its last characters do not fit the others. Compare "
        "it with the original");
    const auto bytes = from_base32(rest);
    if (!bytes || bytes.value().size() < secret_bytes + check_bytes) return unfit;
    const ByteView all = bytes.value();
    const ByteView body = all.first(all.size() - check_bytes);
    const Bytes check = check_of(body);
    if (!std::equal(check.begin(), check.end(), all.end() - check_bytes)) return unfit;
    InviteCode code;
    code.secret = to_bytes(body.first(secret_bytes));
    code.id = id_of_secret(code.secret);
    code.address = as_text(body.subspan(secret_bytes));
    // Whoever made the code fitted the check characters to it, and the address is shown on a terminal.
    if (!is_address_like(code.address)) return unfit;
    return code;
}

std::string check_letters_of(const InviteCode& code) {
    struct LettersTag;
    const auto hash =
        hash_as<FixedBytes<LettersTag, 32>>("ladderline invite letters 1", {code.secret, as_bytes(code.address)});
    std::string out;
    for (std::size_t letter = 0; letter < code_letters; ++letter) {
        const std::uint32_t two = hash.view()[2 * letter] | std::uint32_t{hash.view()[2 * letter + 1]} << 8;
        out += static_cast<char>('A' + two % 26);
    }
    return out;
}

Result<Invite> invite(Context& context, const InviteRequest& request) {
    if (request.days < 1 || request.days > invite_days_max)
        return Error{Fault::bad_input, "An invite is good for 1 to 60 days."};
    if (request.address.size() > limits::name_bytes_max) return Error{Fault::bad_input, "That address is too long."};
    if (!is_address_like(request.address)) {
        return Error{Fault::bad_input, "That address holds a blank or a character that cannot be shown."};
    }
    const WallTime expires{context.now().ms + std::int64_t{request.days} * 86'400'000};
    TRY(Offered offered, offer(context, request, expires));
    offered.code.address = request.address;
    return Invite{to_code(offered.code), offered.circle, expires};
}

Result<InviteId> offer_to_stranger(Context& context, const InviteRequest& request, std::int64_t wait_ms) {
    TRY(const Offered offered, offer(context, request, {context.now().ms + wait_ms}));
    return offered.code.id;
}

Result<std::optional<Bytes>> secret_of_invite(Context& context, const InviteId& id) {
    std::optional<Bytes> secret;
    TRY(context.db.query(
        "SELECT secret FROM invite WHERE invite = ?1 AND used_by IS NULL AND expires > ?2",
        [&](const store::sqlite::Row& row) { secret = row.blob(0); }, id, context.now()));
    return secret;
}

Result<WelcomeMessage> let_in(Context& context, const InviteId& id, const JoinMessage& join) {
    struct Offer {
        CircleId circle;
        MemberRole role;
        std::uint8_t level;
    };
    std::optional<Offer> offer;
    TRY(context.db.query(
        "SELECT circle, role, level FROM invite WHERE invite = ?1 AND used_by IS NULL AND expires > ?2",
        [&](const store::sqlite::Row& row) {
            offer = Offer{row.fixed<CircleId>(0), static_cast<MemberRole>(row.integer(1)),
                          static_cast<std::uint8_t>(row.integer(2))};
        },
        id, context.now()));
    WelcomeMessage welcome;
    if (!offer || !is_genuine(join.device) || join.name.empty()) {
        welcome.refusal = "This invite is used up or over; ask for a new one.";
        return welcome;
    }
    TRY(const CircleState state, context.state_of(offer->circle));
    const auto allowed = may_admit(state, context.me.id(), offer->role, join.is_minor);
    if (!allowed) {
        welcome.refusal = allowed.error().sentence();
        return welcome;
    }
    if (is_present(state, join.device.member)) {
        welcome.refusal = "You are in this circle already.";
        return welcome;
    }
    const auto seated = may_sit(context, offer->circle, join.device.member, join.is_minor, offer->role);
    if (!seated) {
        welcome.refusal = seated.error().sentence();
        return welcome;
    }
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
    TRY(context.log.append_within({offer->circle, kind::admit, admit_body(join, offer->role, offer->level), {}},
                                  context.now()));
    TRY(context.db.run("UPDATE invite SET used_by = ?2 WHERE invite = ?1", id, join.device.member));
    // A key that was made for fewer is followed by one for the newcomer too.
    TRY(rotate_if_due_within(context, offer->circle));
    TRY(const auto allowed_key,
        store::key_for_device(context.states, context.log, offer->circle, join.device.noise, context.today()));
    if (!allowed_key) {
        welcome.refusal = "You may not read this circle as things stand; ask for a new invite later.";
        return welcome;
    }
    TRY(tx.commit());
    context.news(offer->circle);
    welcome.joined = {offer->circle, to_bytes(allowed_key->view()), context.me.certificate};
    return welcome;
}

Result<Done> let_onto_path(Context& context, std::string_view who, MemberRole role, std::uint8_t level) {
    TRY(check_seat(CircleKind::path, role, level));
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const CircleView path, own_circle(context, CircleKind::path));
    TRY(const PersonView person, find_person(context, club.id, who));
    TRY(const CircleState state, context.state_of(path.id));
    TRY(may_admit(state, context.me.id(), role, person.is_minor));
    if (is_present(state, person.id)) return Error{Fault::refused, person.name + " is on your path already."};
    TRY(may_sit(context, path.id, person.id, person.is_minor, role));
    TRY(const CircleState club_state, context.state_of(club.id));
    AdmitBody body{person.id, role, std::min(level, person.level), person.name, person.is_minor, {}};
    for (const auto& [device, certificate] : club_state.devices) {
        // A device that was reported lost in the club must not read a path.
        if (club_state.present_member(device) == person.id) body.devices.push_back(certificate);
    }
    if (body.devices.empty()) {
        return Error{Fault::refused, "Every device of " + person.name +
                                         " is reported lost; let them add one in the club first. Nobody was let in."};
    }
    TRY(const EventId id, say(context, path.id, kind::admit, codec::encode(body)));
    return Done{person.name + " is on your path now as " + std::string(role_word(role)) + ".", id};
}

}  // namespace ladderline::node
