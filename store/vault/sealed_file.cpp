#include "store/vault/sealed_file.hpp"

namespace ladderline::store::vault {

std::atomic<std::int64_t> refusals{0};

int refuse(int code) {
    refusals.fetch_add(1);
    return code;
}

}  // namespace ladderline::store::vault
