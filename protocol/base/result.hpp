#pragma once
// Errors by culprit. A Result that is dropped does not compile (warnings are errors).

#include <boost/outcome/std_result.hpp>
#include <boost/outcome/try.hpp>
#include <cstdint>
#include <string>
#include <utility>

namespace ladderline {

// What kind of thing went wrong; decides the exit code of a command and whether a peer's session ends.
enum class Fault : std::uint8_t {
    bad_input,    // a person typed or supplied something that cannot be used
    refused,      // a gate or a right says no
    not_found,    // the named thing is not here
    wrong_key,    // passphrase or key does not open it
    damaged,      // bytes on disk are not what was written
    busy,         // somebody else holds it (second start on one store)
    disk,         // the disk or the file system failed, or is full
    network,      // a peer could not be reached or went away
    peer,         // a peer sent something it must not send
    not_yet,      // may succeed later: something it builds on has not arrived
    unsupported,  // made by a newer program
    cancelled,    // a person stopped it
};

// One clear sentence for a person: what happened, what was kept, what to do.
class [[nodiscard]] Error {
public:
    Error(Fault fault, std::string sentence) : fault_(fault), sentence_(std::move(sentence)) {}

    Fault fault() const { return fault_; }
    const std::string& sentence() const { return sentence_; }

private:
    Fault fault_;
    std::string sentence_;
};

template <class T>
using Result = boost::outcome_v2::std_result<T, Error, boost::outcome_v2::policy::terminate>;

// The value of a Result<void> that went well.
inline auto ok() {
    return boost::outcome_v2::success();
}

}  // namespace ladderline

// TRY(auto x, f()): x is the value, or the enclosing function returns the error. TRY(f()) for Result<void>.
#define TRY(...) BOOST_OUTCOME_TRY(__VA_ARGS__)
