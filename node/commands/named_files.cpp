#include "node/commands/named_files.hpp"

#include <fstream>

#include "store/carry/carried_files.hpp"
#include "store/disk.hpp"

namespace ladderline::node {
namespace {

namespace fs = std::filesystem;

bool begins_alike(const fs::path& file, std::string_view text) {
    const std::string_view line = text.substr(0, text.find('\n'));
    std::string there(line.size(), '\0');
    std::ifstream in(file, std::ios::binary);
    in.read(there.data(), static_cast<std::streamsize>(there.size()));
    return in.gcount() == 0 || there == line;
}

}  // namespace

Result<std::string> read_named_file(const fs::path& file) {
    store::RealCarriedFiles files;
    TRY(const Bytes bytes, files.read(file, named_file_bytes_max));
    return std::string(bytes.begin(), bytes.end());
}

Result<void> write_named_file(const fs::path& file, std::string_view text) {
    std::error_code unknown;
    if (fs::exists(fs::symlink_status(file, unknown)) &&
        (!fs::is_regular_file(file, unknown) || !begins_alike(file, text))) {
        return Error{Fault::refused, file.string() +
                                         " is there already and is something else, so it was left as it is; choose "
                                         "another name."};
    }
    store::RealDisk disk;
    return disk.write_atomically(file, as_bytes(text));
}

Result<Done> write_page(const fs::path& file, std::string_view page) {
    TRY(write_named_file(file, page));
    return Done{"Written: " + file.string() + ". Open it in a browser and print it.", {}};
}

}  // namespace ladderline::node
