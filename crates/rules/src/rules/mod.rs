//! The rules, one file each, in a folder a group.

use crate::rule::Rule;

macro_rules! registry {
    ($($group:ident { $($file:ident),* $(,)? })*) => {
        $(pub(crate) mod $group { $(pub(crate) mod $file;)* })*
        /// Every rule, by group.
        pub static RULES: &[&Rule] = &[$($(&$group::$file::RULE),*),*];
    };
}

// `cargo run -p rules --example new_rule -- ID GROUP` adds a line here; each list is sorted.
registry! {
    syntax {
        block_without_recipe,
        curly_quotes,
        duplicate_block,
        malformed_line,
        merge_conflict,
        missing_indent,
        range_inverted,
        repeated_clause,
        repeated_line,
        unclosed_string,
        unknown_block,
        unknown_field,
        unknown_keyword,
    }
    units {
        ambiguous_unit,
        decimal_comma,
        definition_implausible,
        figure_implausible,
        mixed_unit_systems,
        suspicious_magnitude,
        unit_case,
        unit_missing,
        unit_wrong_dimension,
        unknown_unit,
    }
    names {
        duplicate_definition,
        figure_cycle,
        import_cycle,
        import_missing,
        like_cycle,
        recipe_ambiguous,
        unknown_reference,
        unknown_tag,
    }
    grist {
        batch_size_scale_mismatch,
        diastatic_power_low,
        huskless_share_high,
        percent_total_off,
        simple_sugar_share_high,
        specialty_share_high,
        starch_steeped_not_mashed,
        ungelatinised_adjunct,
    }
    liquor {
        acid_strength_or_dose,
        calcium_low,
        chlorine_untreated,
        ion_above_drinking_limit,
        ion_charge_unbalanced,
        ion_outside_brewing_range,
        metabisulfite_overdose,
        salt_form_or_dose_suspect,
        sparge_water_too_hot,
        sulfate_chloride_extreme,
        water_balance_broken,
        water_profile_missed,
    }
    mash {
        decoction_fraction_mismatch,
        gum_rest_or_hulls_suggested,
        heating_ramp_implausible,
        infusion_step_unreachable,
        mash_above_tannin_limit,
        mash_out_not_final,
        mash_ph_off,
        mash_steps_out_of_order,
        mash_thickness_out_of_range,
        protein_rest_unneeded,
        rest_destroys_needed_enzyme,
        runoff_too_thin_or_alkaline,
        saccharification_rest_missing,
        strike_temperature_mismatch,
        tun_overfull,
    }
    boil {
        alpha_stale_or_implausible,
        bitterness_overstated,
        evaporation_out_of_range,
        extract_not_conserved,
        hop_dose_high,
        hop_stand_underspecified,
        hop_time_exceeds_boil,
        hot_stand_reforms_dms,
        hot_volume_uncorrected,
        kettle_fining_mistimed,
        kettle_headroom_low,
        kettle_sour_hygiene,
        no_boil_unmarked,
        short_boil_for_pale_malt,
    }
    yeast {
        alcohol_tolerance_exceeded,
        oxygenation_insufficient,
        pitch_contradicts_rate,
        pitch_rate_high,
        pitch_rate_low,
        pitch_temp_too_hot,
        starter_gravity_off,
        starter_inoculation_off,
        yeast_viability_low,
    }
    ferment {
        attenuation_outside_strain,
        cooled_before_terminal,
        cooling_too_fast,
        diacetyl_rest_missing,
        diastatic_strain_caution,
        dry_hop_contact_off,
        ferment_temp_excursion,
        ferment_temp_outside_strain,
        fermentation_stalled,
        fermentation_too_short,
        fermenter_headspace_low,
        free_rise_uncapped,
        gravity_trend_implausible,
        hop_creep_risk,
        lagering_short_or_warm,
        late_fermentable_unaccounted,
        mash_temp_contradicts_fg,
        oxygen_added_late,
        pressure_ferment_over_limit,
        split_volume_off,
    }
    package {
        conditioning_conditions_off,
        container_over_limit,
        extract_left_at_packaging,
        force_carb_setting_mismatch,
        keg_over_rating,
        packaged_before_stable,
        priming_amount_mismatch,
        priming_sugar_form_unstated,
        residual_co2_basis_wrong,
        sweetened_with_live_yeast,
        warm_storage_overpressure,
    }
    style {
        style_abv,
        style_colour,
        style_fg,
        style_has_no_numbers,
        style_ibu,
        style_mismatch,
        style_og,
    }
    expect {
        expectation_missed,
        expectation_not_checked,
        goal_unreachable,
    }
    log {
        abv_recomputation_differs,
        addition_missed,
        addition_off_plan,
        attenuation_implausible,
        correction_not_remeasured,
        date_impossible,
        efficiency_implausible,
        gravity_claims_disagree,
        gravity_off_plan,
        hydrometer_temp_uncorrected,
        log_out_of_order,
        mash_ph_mistimed,
        mash_temp_off_plan,
        ph_sample_temperature_unstated,
        planned_temperature_not_reached,
        reading_out_of_bounds,
        recipe_changed_since_brewed,
        refractometer_needs_alcohol_correction,
        stage_reading_missing,
        volume_off_plan,
    }
    safety {
        acid_caustic_handling,
        alcohol_claim_mismatch,
        allergen_undeclared,
        co2_room_buildup,
        restricted_botanical,
        sulfite_declaration,
        unfermented_wort_storage,
    }
    repository {
        allowance_refused,
        allowance_without_reason,
        check_failed,
        duplicate_gyle,
        name_file_mismatch,
        stale_allowance,
        stale_stamp,
        unknown_rule,
        unused_definition,
    }
}
