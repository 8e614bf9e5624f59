#include "protocol/crypto/paper_key.hpp"

#include <optional>
#include <set>

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

constexpr std::string_view digits = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
constexpr std::size_t body_size = 26;
constexpr std::size_t key_size = paper_groups * paper_group_size;
constexpr std::string_view said_after = "; nothing was opened or changed.";

struct CheckTag;
using Check = FixedBytes<CheckTag, 16>;

std::string check_of(const PaperSeed& seed) {
    const auto check = hash_as<Check>("ladderline paper check 1", {seed.view()});
    return to_base32(check.view()).substr(0, key_size - body_size);
}

std::string written(const PaperSeed& seed) {
    return to_base32(seed.view()) + check_of(seed);
}

bool is_gap(char c) {
    return c == ' ' || c == '-' || c == '\t' || c == '\n' || c == '\r';
}

char tidy(char c) {
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    if (c == 'I' || c == 'L') return '1';
    return c == 'O' ? '0' : c;
}

// `key`: 30 characters of the alphabet. None if the check characters say otherwise.
std::optional<PaperSeed> seed_of(std::string_view key) {
    Result<Bytes> bytes = from_base32(key.substr(0, body_size));
    if (!bytes) return std::nullopt;  // spare bits that are not zero
    PaperSeed seed = PaperSeed::copy_of(bytes.value());
    wipe(bytes.value());
    if (!equal_secret(as_bytes(check_of(seed)), as_bytes(key.substr(body_size)))) return std::nullopt;
    return seed;
}

std::string group_name(std::size_t index) {
    return "group " + std::to_string(index + 1);
}

Error slip(const std::string& reason) {
    return {Fault::bad_input, reason + std::string(said_after) + " Look at the sheet and try again."};
}

// Groups in which one change, of a character or of two neighbours' places, gives a key that fits its check characters.
// A wrong one fits by chance about once in a thousand mistyped keys.
std::set<std::size_t> groups_one_slip_away(const std::string& key) {
    std::set<std::size_t> out;
    for (std::size_t i = 0; i < key.size(); ++i) {
        std::string other = key;
        for (const char c : digits) {
            other[i] = c;
            if (c != key[i] && seed_of(other)) out.insert(i / paper_group_size);
        }
        other = key;
        if (i + 1 == key.size()) break;
        std::swap(other[i], other[i + 1]);
        if (other != key && seed_of(other)) out.insert(i / paper_group_size);
    }
    return out;
}

// The reason why characters of this count are no key; `parts` as the person set them apart.
Error wrong_length(std::size_t count, const std::vector<std::string>& parts) {
    if (parts.size() == paper_groups) {
        for (std::size_t i = 0; i < parts.size(); ++i) {
            if (parts[i].size() == paper_group_size) continue;
            return slip("A paper key has 6 groups of 5 characters, and " + group_name(i) + " has " +
                        std::to_string(parts[i].size()));
        }
    }
    return slip("A paper key has 30 characters, and this has " + std::to_string(count));
}

SecretBytes derive(const PaperSeed& seed, std::string_view use) {
    SecretBytes out(32);
    blake2b(out.mutable_view(), {as_bytes(use)}, seed.view());
    return out;
}

}  // namespace

PaperGroups paper_groups_of(const PaperSeed& seed) {
    const std::string key = written(seed);
    PaperGroups out;
    for (std::size_t i = 0; i < paper_groups; ++i) out[i] = key.substr(i * paper_group_size, paper_group_size);
    return out;
}

std::string to_paper_text(const PaperSeed& seed) {
    std::string out;
    for (const std::string& group : paper_groups_of(seed)) out += (out.empty() ? "" : "-") + group;
    return out;
}

std::string tidy_paper_group(std::string_view typed) {
    std::string out;
    for (const char c : typed) {
        if (!is_gap(c)) out += tidy(c);
    }
    return out;
}

Result<PaperSeed> read_paper_key(std::string_view text) {
    std::string key;
    std::vector<std::string> parts;
    bool between = true;
    for (const char c : text) {
        if (is_gap(c)) {
            between = true;
            continue;
        }
        if (key.size() > 4 * key_size) return slip("That is far longer than a paper key");
        if (between) parts.emplace_back();
        between = false;
        key += tidy(c);
        parts.back() += tidy(c);
    }
    if (key.size() != key_size) return wrong_length(key.size(), parts);
    const auto foreign = key.find_first_not_of(digits);
    if (foreign != std::string::npos) {
        return slip("The paper key's " + group_name(foreign / paper_group_size) + " holds a character that no key has");
    }
    if (auto seed = seed_of(key)) return std::move(*seed);
    const auto near = groups_one_slip_away(key);
    if (near.size() == 1) return slip("The paper key has a slip, most likely in " + group_name(*near.begin()));
    return slip("The paper key has more than one slip, or is not a paper key");
}

SecretBytes paper_slot_secret(const PaperSeed& seed) {
    return derive(seed, "ladderline paper slot 1");
}

SecretBytes paper_member_seed(const PaperSeed& seed) {
    return derive(seed, "ladderline paper member 1");
}

DhKeys paper_box_keys(const PaperSeed& seed) {
    return dh_keys_from_secret(DhSecret::copy_of(derive(seed, "ladderline paper box 1").view()));
}

}  // namespace ladderline::protocol
