// The pages on one's own telephone, for a while.

#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"

namespace ladderline::node::cli {

void add_phone_command(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("phone", "Open the pages of a running node on your own telephone, for a while");
    auto request = std::make_shared<PhoneRequest>();
    auto stop = std::make_shared<bool>(false);
    auto* address = sub->add_option("address", request->address,
                                    "Of this machine on the local network; alone: how it stands, and what to choose");
    sub->add_option("--minutes", request->minutes, "For how long, at most 480 (default 30)")->needs(address);
    sub->add_option("--port", request->port, "0 takes a free one")->needs(address);
    sub->add_flag("--light-screen", request->on_light_screen, "Draw the link for dark letters on a light screen");
    sub->add_flag("--stop", *stop, "End it")->excludes(address);
    sub->callback([&out, request, stop] {
        if (!request->address.empty()) request->what = PhoneRequest::What::open;
        if (*stop) request->what = PhoneRequest::What::shut;
        out.phone = *request;
    });
}

}  // namespace ladderline::node::cli
