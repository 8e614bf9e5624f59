#pragma once
// Two strangers compare check words (check_words.hpp) inside a finished XX channel, before either says a name.
//
//   30 commit    host -> caller    commitment bytes[32]
//   31 nonce     caller -> host    nonce bytes[32]
//   32 reveal    host -> caller    nonce bytes[32]; the caller checks it, and only then knows the letters
//   33 verdict   both ways, once   bool: this person says that both have heard the same
//
// The host is the handshake's responder. Each message comes once and in its turn; anything else ends the connection.
// What follows two verdicts of "same" is a join (sync/messages.hpp) and not part of this.

#include <deque>

#include "protocol/handshake/check_words.hpp"

namespace ladderline::protocol {

inline constexpr std::uint8_t greeting_commit_type = 30;
inline constexpr std::uint8_t greeting_nonce_type = 31;
inline constexpr std::uint8_t greeting_reveal_type = 32;
inline constexpr std::uint8_t greeting_verdict_type = 33;

class Greeting {
public:
    // `handshake`: of the connection that was just established. The first message of the host is ready at once.
    static Greeting host(const HandshakeHash& handshake, Random& random);
    static Greeting caller(const HandshakeHash& handshake, Random& random);

    // One whole message. Fault::peer for one that does not decode, comes out of turn, or does not fit the commitment;
    // the greeting is then over, and no letters are known.
    Result<void> on_message(ByteView message);
    // To be sent, in order, after every call.
    std::optional<Bytes> next_output();

    // A caller knows them once the reveal has been checked, a host once the caller's nonce has come.
    bool letters_known() const { return !letters_.empty(); }
    // Six letters A to Z; precondition: letters_known().
    const std::string& letters() const;

    // This side's verdict, once. Precondition: letters_known(), not said.
    void say(bool same);
    bool said() const { return mine_.has_value(); }
    // Both have said "same".
    bool agreed() const { return mine_ == true && theirs_ == true; }
    // One of the two has said that the letters differ.
    bool differed() const { return mine_ == false || theirs_ == false; }

private:
    enum class Awaits : std::uint8_t { commit, nonce, reveal, verdict, nothing };

    Greeting(Role role, const HandshakeHash& handshake, Random& random);
    Result<void> take(std::uint8_t type, ByteView fields);
    Result<void> take_reveal(const CheckNonce& revealed);

    Role role_;
    HandshakeHash handshake_;
    CheckNonce own_;
    CheckCommitment commitment_;  // the host's
    Awaits awaits_;
    bool over_ = false;
    std::string letters_;
    std::optional<bool> mine_;
    std::optional<bool> theirs_;
    std::deque<Bytes> output_;
};

}  // namespace ladderline::protocol
