// What the pre-scan finds wrong with an S-57 cell or one of its updates.
#pragma once

#include <string>

namespace dangerline::chart {

/// What may be wrong with a cell or an update.
enum class CellFaultKind {
    empty_file,             ///< no bytes
    not_iso8211,            ///< picture, text, random bytes
    s101,                   ///< a cell of the newer standard S-101
    broken_record,          ///< cut inside a record, or a record that contradicts itself
    unusual_layout,         ///< the describing record gives fields another form than S-57 does
    missing_identification, ///< no DSID, or no DSSI in the base
    missing_parameters,     ///< no DSPM in the base
    not_a_base,             ///< an update under the name of a base
    not_an_update,          ///< a base under the name of an update
    coordinate_factor,      ///< COMF is not 10^7
    sounding_factor,        ///< SOMF is not 10
    horizontal_datum,       ///< HDAT is not 2 (WGS 84)
    coordinate_unit,        ///< COUN is not 1 (latitude and longitude)
    depth_unit,             ///< DUNI is neither 1 (metres) nor 3 (feet)
    fewer_records,          ///< fewer records than DSSI states
    more_records,           ///< more records than DSSI states
    name_differs,           ///< DSNM is not the name of the file
    repeated_identity,      ///< two records of one identity
    dangling_pointer,       ///< a pointer to a record that is not there
    update_gap,             ///< a number before this one is missing
    update_edition,         ///< the update belongs to another edition
    update_number,          ///< UPDN in the file is not the number in its name
    update_repeated,        ///< the same number twice
    update_old,             ///< already contained in the re-issued base
    reissued,        ///< the base contains updates up to a number; GDAL 3.6.2 would not apply those after it
    cancelled,       ///< edition 0: the cell is withdrawn
    insert_existing, ///< an update inserts a record that exists
    change_missing,  ///< an update modifies or deletes a record that does not exist
    version_jump,    ///< record version is not the old one plus 1
    instruction,     ///< unknown update instruction, or one that contradicts its control field
    index_range,     ///< a control field points outside what the record has
    uncontrolled_vertices, ///< coordinates for an existing record without control field: GDAL drops them
};

enum class Gravity {
    warning,       ///< say it, read on
    stops_updates, ///< this update and all later ones must not be applied: the cell is not up to date
    untrusted, ///< may be read, but the cell is not whole: nothing in it may be graded better than unknown
    refuses,   ///< the cell must not be opened
};

struct CellFault {
    CellFaultKind kind{};
    Gravity gravity{};
    std::string text; ///< one sentence, without the file name
    std::string file; ///< base or update it was found in
};

} // namespace dangerline::chart
