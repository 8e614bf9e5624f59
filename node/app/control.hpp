#pragma once
// A running node takes commands of its own person over a socket in the store's folder ("node.sock", mode 0600), so that
// the command line works while the node holds the store.
//
//   request    u32 little-endian length, then the strict encoding of ControlRequest
//   answer     u32 little-endian length, then the strict encoding of ControlAnswer; then the connection ends

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "protocol/base/result.hpp"
#include "protocol/codec/archive.hpp"

namespace ladderline::node {

inline constexpr std::size_t control_words_max = 4096;  // no command has more; each takes memory beyond its bytes

struct ControlRequest {
    std::vector<std::string> words;  // the command line
    std::string folder = {};         // where it was typed, for names of files

    template <class Archive>
    void serialize(Archive& ar) {
        ar(protocol::codec::bounded<control_words_max>(words), folder);
    }
};

struct ControlAnswer {
    std::uint8_t exit_code = 0;
    std::string out;
    std::string err;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(exit_code, out, err);
    }
};

class ControlServer {
public:
    using Handler = std::function<boost::asio::awaitable<ControlAnswer>(ControlRequest)>;

    explicit ControlServer(boost::asio::any_io_executor strand);
    ~ControlServer();
    ControlServer(const ControlServer&) = delete;
    ControlServer& operator=(const ControlServer&) = delete;

    // Replaces a socket that a dead process left. Precondition: this process holds the store.
    Result<void> listen(const std::filesystem::path& folder, Handler handler);
    void stop();

private:
    struct State;
    std::shared_ptr<State> state_;
};

// Hands the words to a node that runs in that folder; none if none does.
Result<std::optional<ControlAnswer>> ask_running_node(const std::filesystem::path& folder,
                                                      const ControlRequest& request);

}  // namespace ladderline::node
