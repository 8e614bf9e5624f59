#include "protocol/handshake/check_words.hpp"

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

constexpr std::uint64_t strings_count = 308'915'776;  // 26^6

constexpr std::array<std::string_view, 26> itu_words{
    "Alfa",    "Bravo", "Charlie", "Delta",  "Echo",     "Foxtrot", "Golf",   "Hotel",  "India",
    "Juliett", "Kilo",  "Lima",    "Mike",   "November", "Oscar",   "Papa",   "Quebec", "Romeo",
    "Sierra",  "Tango", "Uniform", "Victor", "Whiskey",  "X-ray",   "Yankee", "Zulu"};

}  // namespace

CheckCommitment check_commit(const HandshakeHash& handshake, const CheckNonce& responder_nonce) {
    CheckCommitment out;
    blake2b(out.mutable_view(), {as_bytes("sas-c"), handshake.view(), responder_nonce.view()});
    return out;
}

Result<void> check_verify(const HandshakeHash& handshake, const CheckCommitment& commitment,
                          const CheckNonce& responder_nonce) {
    if (equal_secret(check_commit(handshake, responder_nonce).view(), commitment.view())) return ok();
    return Error{Fault::peer,
                 "The other side changed its part of the check words; do not trust this contact, and start again."};
}

std::string check_letters(const HandshakeHash& handshake, const CheckNonce& initiator_nonce,
                          const CheckNonce& responder_nonce) {
    std::array<std::uint8_t, 32> digest{};
    blake2b(digest, {as_bytes("sas"), handshake.view(), initiator_nonce.view(), responder_nonce.view()});
    std::uint64_t number = 0;
    for (std::size_t i = 8; i-- > 0;) number = number << 8 | digest[i];
    number %= strings_count;
    std::string letters(check_letters_count, 'A');
    for (std::size_t i = check_letters_count; i-- > 0; number /= 26) letters[i] = static_cast<char>('A' + number % 26);
    return letters;
}

std::string_view itu_word(char letter) {
    ENSURE(letter >= 'A' && letter <= 'Z');
    return itu_words[static_cast<std::size_t>(letter - 'A')];
}

std::string itu_spelling(std::string_view letters) {
    std::string out;
    for (const char letter : letters) {
        if (!out.empty()) out += ' ';
        out += itu_word(letter);
    }
    return out;
}

}  // namespace ladderline::protocol
