#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/carry.hpp"

namespace ladderline::node::cli {
namespace {

// Names of files are meant from where the words were typed.
auto from_folder(const CommandLine& out) {
    return [folder = out.folder](const std::string& name) { return (folder / name).string(); };
}

boost::json::array array_of(const std::vector<std::string>& all) {
    boost::json::array out;
    for (const std::string& one : all) out.push_back(boost::json::value(one));
    return out;
}

Result<Answer> do_write(Context& context, const BundleRequest& request) {
    store::RealCarriedFiles files;
    TRY(const WrittenBundle written, write_bundle(context, files, request));
    std::vector<std::string> text;
    if (written.files.empty()) {
        text.push_back("There is nothing new for " + written.reader +
                       " since the last bundle; nothing was written. --all writes everything again.");
    } else {
        text.push_back("Written for " + written.reader + ": " + std::to_string(written.events) + " events in " +
                       std::to_string(written.files.size()) + (written.files.size() == 1 ? " file." : " files."));
        for (const std::string& file : written.files) text.push_back("  " + file);
        if (written.repeats) text.push_back("What was put in during the last 30 days is in it once more.");
        text.emplace_back(carry_caution);
    }
    if (!written.left.empty()) text.push_back(written.left);
    return Answer{lines(text),
                  {{"for", written.reader},
                   {"events", written.events},
                   {"repeats", written.repeats},
                   {"files", array_of(written.files)},
                   {"left_out", written.left},
                   {"caution", carry_caution}}};
}

Result<Answer> do_read(Context& context, const std::vector<std::string>& names) {
    store::RealCarriedFiles files;
    TRY(const ReadBundles read,
        read_bundles(context, files, std::vector<std::filesystem::path>(names.begin(), names.end())));
    std::vector<std::string> text;
    text.push_back(std::to_string(read.parts) + (read.parts == 1 ? " part" : " parts") + " read, " +
                   std::to_string(read.events) + " events were new.");
    for (const std::string& line : read.news) text.push_back("  " + line);
    if (read.in_step && read.missing.empty()) text.emplace_back("You hold just what its writer held.");
    for (const std::string& line : read.missing) text.push_back("Missing: " + line);
    for (const std::string& line : read.refused) text.push_back("Left out: " + line);
    return Answer{lines(text),
                  {{"parts", read.parts},
                   {"events", read.events},
                   {"in_step", read.in_step},
                   {"missing", array_of(read.missing)},
                   {"left_out", array_of(read.refused)}}};
}

void add_bundle(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("bundle", "Carry news in files where there is no connection");
    sub->require_subcommand(1);
    auto* write = sub->add_subcommand("write", "Seal what somebody lacks into files, 5 MB each at most");
    auto request = std::make_shared<BundleRequest>();
    auto to = std::make_shared<std::string>();
    write->add_option("--for", request->who, "Name or call sign; or path, club or desk for all who are in it")
        ->required();
    write->add_option("--to", *to, "A folder, or a file that is not there yet")
        ->required()
        ->transform(from_folder(out));
    write->add_flag("--text", request->text, "As text that can be pasted into a letter");
    write->add_flag("--all", request->everything, "Also what was put into bundles before");
    write->add_flag("--with-key", request->with_key,
                    "Sealed to that person's devices, with the key of the circle: for who has not got it");
    write->callback([&out, request, to] {
        request->to = *to;
        out.command = [request](Context& context) { return do_write(context, *request); };
    });
    auto* read = sub->add_subcommand("read", "Take in files or folders of bundles, or text that holds some");
    auto names = std::make_shared<std::vector<std::string>>();
    read->add_option("files", *names, "Files and folders, in any order")->required()->transform(from_folder(out));
    read->callback([&out, names] { out.command = [names](Context& context) { return do_read(context, *names); }; });
}

Result<Answer> list_folders(Context& context) {
    store::RealCarriedFiles files;
    TRY(const auto all, drop_folder_lines(context, files));
    std::vector<std::string> text;
    boost::json::array json;
    for (const DropFolderLine& line : all) {
        text.push_back(line.folder + ": " + line.state);
        for (const std::string& reader : line.readers) text.push_back("  " + reader);
        json.push_back({{"folder", line.folder}, {"state", line.state}, {"readers", array_of(line.readers)}});
    }
    if (text.empty()) text.emplace_back("There is no drop folder; 'ladderline drop-folder add FOLDER' adds one.");
    return Answer{lines(text), std::move(json)};
}

Result<Answer> look_now(Context& context) {
    store::RealCarriedFiles files;
    TRY(const auto said, look_into_drop_folders(context, files));
    if (said.empty()) {
        return Error{Fault::not_found, "There is no drop folder; 'ladderline drop-folder add FOLDER' adds one."};
    }
    return Answer{lines(said), array_of(said)};
}

using FolderCommand = Result<Done> (*)(Context&, store::CarriedFiles&, const std::filesystem::path&);

void add_folder_word(CLI::App& sub, CommandLine& out, const std::string& word, const std::string& help,
                     FolderCommand command, bool cautions) {
    auto* inner = sub.add_subcommand(word, help);
    auto folder = std::make_shared<std::string>();
    inner->add_option("folder", *folder, "The folder")->required()->transform(from_folder(out));
    inner->callback([&out, folder, command, cautions] {
        out.command = [folder, command, cautions](Context& context) -> Result<Answer> {
            store::RealCarriedFiles files;
            TRY(const Done done, command(context, files, *folder));
            Answer answer = answer_of(done);
            if (cautions) answer.text += "\n" + std::string(carry_caution);
            return answer;
        };
    });
}

void add_drop_folders(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("drop-folder", "Exchange news through a folder on a stick or of a sync engine");
    sub->require_subcommand(1);
    add_folder_word(*sub, out, "add", "Look into this folder from now on", &add_drop_folder, true);
    add_folder_word(*sub, out, "remove", "Look into it no more; its files stay", &remove_drop_folder, false);
    sub->add_subcommand("list", "The folders, and how far the others were")->callback([&out] {
        out.command = list_folders;
    });
    sub->add_subcommand("look", "Look into all of them now")->callback([&out] { out.command = look_now; });
}

}  // namespace

void add_carry_commands(CLI::App& app, CommandLine& out) {
    add_bundle(app, out);
    add_drop_folders(app, out);
}

}  // namespace ladderline::node::cli
