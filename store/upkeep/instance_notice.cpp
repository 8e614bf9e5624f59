#include "store/upkeep/instance_notice.hpp"

#include "store/settings/settings.hpp"

namespace ladderline::store {
namespace {

constexpr std::string_view notice_setting = "instance_notice";

}  // namespace

Result<void> keep_instance_notice(sqlite::Database& db, std::string_view sentences) {
    return put_text_setting(db, notice_setting, sentences);
}

Result<std::optional<std::string>> instance_notice(sqlite::Database& db) {
    return get_text_setting(db, notice_setting);
}

Result<void> forget_instance_notice(sqlite::Database& db) {
    return forget_setting(db, notice_setting);
}

}  // namespace ladderline::store
