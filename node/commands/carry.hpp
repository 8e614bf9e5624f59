#pragma once
// News without a connection: bundles in files, and folders that several nodes write into.

#include "node/commands/context.hpp"
#include "store/carry/drop_folder.hpp"

namespace ladderline::node {

// Shown wherever something sealed is about to travel.
inline constexpr std::string_view carry_caution =
    "It is sealed: carry it as files, over your network or over the internet. Never send it over amateur frequencies, "
    "where messages that hide their meaning are not allowed (47 CFR 97.113(a)(4)).";

struct BundleRequest {
    std::string who;  // somebody's name or call sign; or path, club, desk: everybody in that circle of one's own
    std::filesystem::path to;  // a folder, or a file that is not there yet
    bool text = false;         // as text for a letter
    bool everything = false;   // also what was put into bundles before
    bool with_key = false;     // sealed to the person's devices, with the circle's key: for who has not got it
};

struct WrittenBundle {
    std::string reader;              // whom it is for, in words
    std::vector<std::string> files;  // none: there is nothing new
    std::uint64_t events = 0;
    bool repeats = false;  // holds the last 30 days once more
    std::string left;      // what could not be put in, in one sentence; empty: nothing
};
// Either everything is written and remembered, or the files of the circle that failed are gone again.
Result<WrittenBundle> write_bundle(Context& context, store::CarriedFiles& files, const BundleRequest& request);

struct ReadBundles {
    std::size_t parts = 0;             // that could be read
    std::uint64_t events = 0;          // new here
    std::vector<std::string> news;     // one line a circle with new events
    std::vector<std::string> missing;  // what must still come, one sentence each
    std::vector<std::string> refused;  // files and parts that could not be read, one sentence each
    bool in_step = false;              // after the last part read, this node holds just what its writer held
};
// Files and folders in any order; text is looked through for bundles. An error if nothing at all could be read.
Result<ReadBundles> read_bundles(Context& context, store::CarriedFiles& files,
                                 const std::vector<std::filesystem::path>& paths);

Result<Done> add_drop_folder(Context& context, store::CarriedFiles& files, const std::filesystem::path& folder);
Result<Done> remove_drop_folder(Context& context, store::CarriedFiles& files, const std::filesystem::path& folder);

struct DropFolderLine {
    std::string folder;
    std::string state;
    std::vector<std::string> readers;  // how far the others were when they looked last
};
Result<std::vector<DropFolderLine>> drop_folder_lines(Context& context, store::CarriedFiles& files);

// Looks into all drop folders now, to the end. One sentence each.
Result<std::vector<std::string>> look_into_drop_folders(Context& context, store::CarriedFiles& files);

// One look step by step, for a node that has more to do.
class DropLookRun {
public:
    DropLookRun(Context& context, store::CarriedFiles& files, const std::string& folder);
    // False: it is over, and noted.
    bool step();
    std::string sentence() const { return sentence_; }

private:
    bool end(const std::string& trouble);

    Context& context_;
    std::string folder_;
    store::DropFolderLook look_;
    std::string sentence_;
};

}  // namespace ladderline::node
