//! The whole main job, end to end: the real program on the real databases, over HTTP.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may fail by panicking"
)]

#[path = "../support/databases.rs"]
mod databases;
mod examples;
mod explained;
mod harness;
mod links;
mod month_end;
mod numbering;
mod options;
mod own_files;
mod quotes;
mod repricing;
mod retries;
mod sheets;
mod sticks;
mod together;
mod totals;
mod webhooks;
mod whole_job;

/// Makes of each story a test on SQLite and one on Postgres.
macro_rules! on_both {
    ($($story:path => $name:ident),+ $(,)?) => {
        mod on_sqlite {
            $(#[test] fn $name() { crate::databases::on_sqlite(|url| async move { crate::harness::run(&url, |shop| Box::pin($story(shop))).await }); })+
        }
        mod on_postgres {
            $(#[test] fn $name() { crate::databases::on_postgres(|url| async move { crate::harness::run(&url, |shop| Box::pin($story(shop))).await }); })+
        }
    };
}

on_both! {
    crate::whole_job::from_an_empty_database_to_the_books => from_an_empty_database_to_the_books,
    crate::whole_job::an_empty_shop_is_told_everything_it_lacks => an_empty_shop_is_told_everything_it_lacks,
    crate::whole_job::what_cannot_be_built_is_not_quoted => what_cannot_be_built_is_not_quoted,
    crate::quotes::numbers_have_no_gaps_and_no_repeats => numbers_have_no_gaps_and_no_repeats,
    crate::quotes::wrong_moves_name_the_right_ones => wrong_moves_name_the_right_ones,
    crate::quotes::a_revision_takes_the_place_of_the_one_before => a_revision_takes_the_place_of_the_one_before,
    crate::quotes::a_draft_is_written_anew_only_over_its_version => a_draft_is_written_anew_only_over_its_version,
    crate::quotes::an_answer_is_meant_for_what_the_customer_has => an_answer_is_meant_for_what_the_customer_has,
    crate::quotes::a_draft_given_up_gives_way_to_what_is_open => a_draft_given_up_gives_way_to_what_is_open,
    crate::quotes::trying_first_stores_nothing => trying_first_stores_nothing,
    crate::quotes::an_issued_quote_keeps_what_it_froze => an_issued_quote_keeps_what_it_froze,
    crate::retries::pressing_twice_makes_one_quote => pressing_twice_makes_one_quote,
    crate::totals::a_pull_shows_each_revision_once_while_quotes_change => a_pull_shows_each_revision_once_while_quotes_change,
    crate::totals::each_tax_stands_by_its_rate => each_tax_stands_by_its_rate,
    crate::sticks::an_offcut_goes_through_its_life => an_offcut_goes_through_its_life,
    crate::sticks::a_plan_draws_on_the_rack_and_reserves => a_plan_draws_on_the_rack_and_reserves,
    crate::sticks::plans_made_at_once_never_share_an_offcut => plans_made_at_once_never_share_an_offcut,
    crate::sticks::a_whole_schedule_is_cut_from_sticks_as_sold => a_whole_schedule_is_cut_from_sticks_as_sold,
    crate::explained::every_amount_comes_with_its_derivation => every_amount_comes_with_its_derivation,
    crate::sheets::a_sheet_comes_back_with_its_results => a_sheet_comes_back_with_its_results,
    crate::sheets::a_sheet_and_a_request_come_to_the_same => a_sheet_and_a_request_come_to_the_same,
    crate::sheets::semicolons_and_decimal_commas_are_read_and_answered => semicolons_and_decimal_commas_are_read_and_answered,
    crate::sheets::every_fault_has_its_cell_and_spoils_no_other_row => every_fault_has_its_cell_and_spoils_no_other_row,
    crate::sheets::a_heading_that_lacks_columns_and_too_many_rows_are_refused_whole => a_heading_that_lacks_columns_and_too_many_rows_are_refused_whole,
    crate::sheets::a_workbook_comes_back_typed_with_its_totals => a_workbook_comes_back_typed_with_its_totals,
    crate::sheets::a_blank_sheet_is_filled_in_as_its_example_shows => a_blank_sheet_is_filled_in_as_its_example_shows,
    crate::sheets::a_sheet_becomes_a_quote_of_what_it_was_priced_at => a_sheet_becomes_a_quote_of_what_it_was_priced_at,
    crate::sheets::a_sheet_with_faults_is_quoted_not_at_all => a_sheet_with_faults_is_quoted_not_at_all,
    crate::sheets::one_job_is_quoted_once => one_job_is_quoted_once,
    crate::repricing::open_quotes_are_held_against_another_list => open_quotes_are_held_against_another_list,
    crate::repricing::what_the_other_list_lacks_is_named_and_nothing_else_is_open => what_the_other_list_lacks_is_named_and_nothing_else_is_open,
    crate::repricing::two_lists_are_held_against_each_other => two_lists_are_held_against_each_other,
    crate::links::of_many_answers_at_once_one_is_taken => of_many_answers_at_once_one_is_taken,
    crate::options::an_alternate_and_an_addition_from_offer_to_books => an_alternate_and_an_addition_from_offer_to_books,
    crate::options::two_options_cost_the_sum_of_both => two_options_cost_the_sum_of_both,
    crate::options::options_that_cannot_be_offered_are_refused_with_their_place => options_that_cannot_be_offered_are_refused_with_their_place,
    crate::options::revisions_tell_what_became_of_options_and_presentation => revisions_tell_what_became_of_options_and_presentation,
    crate::options::a_sheet_is_quoted_at_one_price => a_sheet_is_quoted_at_one_price,
    crate::webhooks::notices_come_until_they_are_taken => notices_come_until_they_are_taken,
    crate::own_files::the_same_revision_is_the_same_bytes_whatever_the_shop_puts_there => the_same_revision_is_the_same_bytes_whatever_the_shop_puts_there,
    crate::own_files::a_customer_answers_on_the_shops_own_page => a_customer_answers_on_the_shops_own_page,
    crate::own_files::what_the_shops_own_paper_cannot_print_is_not_issued => what_the_shops_own_paper_cannot_print_is_not_issued,
    crate::examples::the_server_answers_its_own_examples => the_server_answers_its_own_examples,
    crate::totals::the_sheet_says_the_same_as_the_json => the_sheet_says_the_same_as_the_json,
}
