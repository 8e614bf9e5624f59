#pragma once
// The spelling alphabet. Source: ITU Radio Regulations, Appendix 14 (Alfa and Juliett are its own spellings). Figures
// are said as plain numerals, as is usual on the amateur bands.

#include <string>
#include <string_view>
#include <vector>

namespace ladderline::domain {

// The word for a letter (either case), a figure, or '/'; empty for anything else.
std::string_view spelling_word(char c);

// A call sign word by word: KD0XAA -> Kilo Delta Zero X-ray Alfa Alfa. Characters without a word are left out.
std::vector<std::string_view> spell_out(std::string_view call);

// The same in one line, words parted by blanks.
std::string spelling_of(std::string_view call);

}  // namespace ladderline::domain
