// Records of the compiled form as ISO 8211 fields.
#pragma once

#include "cellwriter/cellwriter.hpp"

namespace cellwriter {

using Fields = std::vector<dangerline::chart::FieldContent>;

dangerline::chart::FieldContent vector_name(const VectorRecord& record, int ruin);
dangerline::chart::FieldContent feature_name(const FeatureRecord& record, int ruin);
dangerline::chart::FieldContent quality_field(const Quality& quality);
dangerline::chart::FieldContent coordinate_field(const std::vector<Place>& places, const Header& header);
dangerline::chart::FieldContent control_field(const char* tag, int instruction, int index, int count);
/// ATTF and NATF as far as there is something to write.
void append_attributes(Fields& fields, const Attributes& attributes, const Header& header);

Fields vector_fields(const VectorRecord& record, const Header& header);
Fields feature_fields(const FeatureRecord& record, const Header& header);

/// DSID and DSSI, the latter counting the records given.
Fields identification_fields(const Header& header, const std::vector<Fields>& records, bool base);
Fields parameter_fields(const Header& header);

/// Describing record and records, numbered by field 0001.
std::string file_bytes(const std::vector<Fields>& records);

} // namespace cellwriter
