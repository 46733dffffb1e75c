#pragma once

// What tapes made of the map's scale, and what would make it surer, for people and for machines.

#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

#include "graph/map.hpp"

namespace wainscot {

/// Whole sentences in one line, without line end; empty where no tapes were given.
std::string tape_sentences(const std::vector<MappedTape>& tapes);

/// One sentence; empty where nothing helps.
std::string remedy_sentence(const std::vector<ScaleRemedy>& remedies);

/// The "tapes" of summary.json.
nlohmann::ordered_json tapes_json(const std::vector<MappedTape>& tapes);

/// The "scale_remedies".
nlohmann::ordered_json remedies_json(const std::vector<ScaleRemedy>& remedies);

}  // namespace wainscot
