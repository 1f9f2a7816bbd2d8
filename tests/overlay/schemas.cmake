# The outputs that the overlay tests write are held against their schemas, and spoiled copies of them must fail.
set(SAMPLES ${CMAKE_CURRENT_BINARY_DIR}/overlay_samples)
set(VALIDATE /usr/bin/python3 -B ${CMAKE_CURRENT_SOURCE_DIR}/overlay/validate.py)
set(SCHEMAS ${PROJECT_SOURCE_DIR}/src/overlay/schema)

# Cutting and rounding have no public header.
target_include_directories(test_overlay PRIVATE ${PROJECT_SOURCE_DIR}/src)
target_compile_definitions(test_overlay PRIVATE DANGERLINE_SAMPLES="${SAMPLES}")
set_tests_properties(overlay PROPERTIES FIXTURES_SETUP overlay_samples)

add_test(NAME overlay_passage_schema
  COMMAND ${VALIDATE} --self-test ${SCHEMAS}/passage.schema.json ${SAMPLES}/passage.geojson)
add_test(NAME overlay_zones_schema
  COMMAND ${VALIDATE} --self-test ${SCHEMAS}/zones.schema.json ${SAMPLES}/zones.geojson)
add_test(NAME overlay_anchor_schema
  COMMAND ${VALIDATE} --self-test ${SCHEMAS}/anchor.schema.json ${SAMPLES}/anchor.geojson)
add_test(NAME overlay_newer_schema
  COMMAND ${VALIDATE} --self-test ${SCHEMAS}/newer.schema.json ${SAMPLES}/newer.geojson)
add_test(NAME overlay_survey_schema
  COMMAND ${VALIDATE} --self-test ${SCHEMAS}/survey.schema.json ${SAMPLES}/survey.geojson)
add_test(NAME overlay_no_zones
  COMMAND ${VALIDATE} ${SCHEMAS}/zones.schema.json ${SAMPLES}/no_zones.geojson)
set_tests_properties(overlay_passage_schema overlay_zones_schema overlay_anchor_schema overlay_newer_schema
  overlay_survey_schema overlay_no_zones PROPERTIES
  FIXTURES_REQUIRED overlay_samples)
